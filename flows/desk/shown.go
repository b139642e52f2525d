package desk

import (
	"strconv"
	"strings"

	"duskdawn/flows/civil"
)

// shownAt is what a view of a list or digest knows of its time: the word, the page,
// the day and the second, as Message.MediaOf.
type shownAt struct {
	word  string
	page  int
	today civil.Date
	at    int64
}

func (s shownAt) String() string {
	return strings.Join([]string{s.word, strconv.Itoa(s.page), s.today.String(), strconv.FormatInt(s.at, 10)}, " ")
}

func readShown(text string) (s shownAt) {
	f := strings.Fields(text)
	if len(f) != 4 {
		return s
	}
	s.word = f[0]
	s.page, _ = strconv.Atoi(f[1])
	s.today, _ = civil.ParseDate(f[2])
	s.at, _ = strconv.ParseInt(f[3], 10, 64)
	return s
}
