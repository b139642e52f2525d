package answer

import (
	"duskdawn/locales/fold"
)

// Clock is a time of day as it stands in a text: "half ten", "twenty to six", "22:45", "las once menos cuarto", "at seven".
type Clock struct {
	Minutes  int  // after midnight; of twelve hours where Day is false
	Day      bool // which half of the day it is was said
	Bare     bool // it is a number and no more, which may count something else
	From, To int  // where it stands in the text

	from, to int // its words
}

// Has reports whether a figure of the same text is a part of the time.
func (c *Clock) Has(g *Figure) bool { return c.from <= g.from && g.to <= c.to }

const (
	halfDay  = 12 * 60
	wholeDay = 2 * halfDay
)

// clocks finds the times of day of a folded text of these words.
func clocks(b []byte, ws []fold.Span, numbers numberWords, dst []Clock) []Clock {
	t := numberText{numbers, b, ws}
	for i := 0; i < len(ws) && len(dst) < MaxFigures; i++ {
		minutes, to, ok := t.clock(i)
		bare := false
		if !ok {
			minutes, to, ok = t.bareHour(i)
			bare = ok && !t.is(i-1, wordLead|wordFrom) && !t.is(to, wordSharp)
		}
		if !ok {
			continue
		}
		c := Clock{Minutes: minutes, Bare: bare, Day: minutes > halfDay || t.is(i, wordMidnight|wordNoon) || t.is(i, wordHalf) && t.is(i+1, wordNight)}
		to = t.halfOfDay(&c, i, to)
		c.From, c.To, c.from, c.to = int(ws[i].From), int(ws[to-1].To), i, to
		dst = append(dst, c)
		i = to - 1
	}
	return dst
}

// number is a whole number that begins at a word, in words or digits, and the word behind it.
func (t *numberText) number(i int) (n, to int, ok bool) {
	if i < 0 || i >= len(t.ws) {
		return 0, 0, false
	}
	g, ok := t.said(i)
	if !ok {
		g, ok = t.digits(i)
		if ok && (!g.Whole || g.Quarters > 0 || g.to > i+1 || g.unit != "" && g.unit != "h" && g.unit != "am" && g.unit != "pm") {
			return 0, 0, false
		}
	}
	return int(g.N), g.to, ok
}

// hour is an hour of the clock that begins at a word, and the word behind it.
func (t *numberText) hour(i int) (n, to int, ok bool) {
	n, to, ok = t.number(i)
	return n, to, ok && n >= 1 && n <= 24
}

// clock is a time of day that can be nothing else, and the word behind it.
func (t *numberText) clock(i int) (minutes, to int, ok bool) {
	switch {
	case t.is(i, wordMidnight), t.is(i, wordHalf) && t.is(i+1, wordNight):
		if t.is(i, wordHalf) { // "media noche"
			i++
		}
		return 0, i + 1, true
	case t.is(i, wordNoon):
		return halfDay, i + 1, true
	}
	if minutes, to, ok = t.digital(i); ok {
		return minutes, to, true
	}
	if minutes, to, ok = t.partFirst(i); ok {
		return minutes, to, true
	}
	return t.hourFirst(i)
}

// digital is "22:45", "9.30", "7h15".
func (t *numberText) digital(i int) (minutes, to int, ok bool) {
	if i+1 >= len(t.ws) || !digitsFollow(t.b, t.ws[i], t.ws[i+1]) || i+2 < len(t.ws) && digitsFollow(t.b, t.ws[i+1], t.ws[i+2]) {
		return 0, 0, false
	}
	mark, h, m := t.b[t.ws[i].To], twoDigits(t.word(i), 1), twoDigits(t.word(i + 1)[:min(2, len(t.word(i+1)))], 2)
	if mark != ':' && mark != '.' || h < 0 || h > 24 || m < 0 || m > 59 || mark == '.' && (m%5 != 0 || t.is(i+2, wordHour)) {
		return 0, 0, false
	}
	if rest := t.word(i + 1)[2:]; len(rest) > 0 && t.roles[string(rest)]&(wordAM|wordPM|wordHour) == 0 {
		return 0, 0, false
	}
	return (h*60 + m) % wholeDay, i + 2, true
}

// twoDigits reads a number of at least so many digits, and two at most; -1 where it is none.
func twoDigits(word []byte, least int) (n int) {
	if len(word) < least || len(word) > 2 {
		return -1
	}
	for _, c := range word {
		if !fold.IsDigit(c) {
			return -1
		}
		n = n*10 + int(c-'0')
	}
	return n
}

// partFirst is "half ten", "half past ten", "quarter to six", "twenty past nine", "cuarto para las seis".
func (t *numberText) partFirst(i int) (minutes, to int, ok bool) {
	part, at := 0, i
	switch {
	case t.is(i, wordArticle) && t.is(i+1, wordQuarter):
		part, at = 15, i+2
	case t.is(i, wordQuarter):
		part, at = 15, i+1
	case t.is(i, wordHalf) && !t.is(i-1, wordJoin):
		part, at = 30, i+1
		if h, to, ok := t.hour(at); ok && !t.is(to, wordHour) { // "half ten"
			return h%12*60 + 30, to, true
		}
	default:
		if part, at, ok = t.number(i); !ok || part < 1 || part > 29 {
			return 0, 0, false
		}
		if t.is(at, wordMinutes) {
			at++
		} else if part <= 12 && !t.is(at, wordPast) && !t.is(i-1, wordLead) { // "ten to six" is from ten to six
			return 0, 0, false
		}
	}
	sign := 0
	switch {
	case t.is(at, wordBefore), part == 15 && t.is(at, wordOf): // "quarter of six"
		sign = -1
	case t.is(at, wordPast) && !t.is(at, wordJoin):
		sign = 1
	default:
		return 0, 0, false
	}
	if at++; t.is(at, wordLead) { // "para las seis"
		at++
	}
	h, to, ok := t.hour(at)
	if !ok || t.is(to, wordHour) || t.is(to, wordMinutes) {
		return 0, 0, false
	}
	return (h%12*60 + sign*part + halfDay) % halfDay, to, true
}

// hourFirst is "ten fifteen", "23 30", "las seis y media", "once menos cuarto".
func (t *numberText) hourFirst(i int) (minutes, to int, ok bool) {
	h, at, ok := t.hour(i)
	if !ok {
		return 0, 0, false
	}
	if h > 12 {
		m, to, ok := t.number(at)
		ok = ok && t.digitsIn(i) && t.digitsIn(at) && m%15 == 0 && m < 60 && m > 0 && t.apartBySpace(i, at) && !t.is(to, wordHour|wordMinutes)
		return (h*60 + m) % wholeDay, to, ok
	}
	sign, join := 1, false
	switch {
	case t.is(at, wordLess):
		sign, at, join = -1, at+1, true
	case t.is(at, wordPast) && t.is(at, wordJoin):
		at, join = at+1, true
	}
	if t.is(at, wordArticle) && t.is(at+1, wordQuarter) {
		at++
	}
	part, to := 0, at+1
	switch {
	case join && t.is(at, wordQuarter):
		part = 15
	case join && t.is(at, wordHalf), t.is(at, wordHalf) && t.is(i-1, wordLead):
		part = 30
	default:
		if part, to, ok = t.number(at); !ok || part%5 != 0 || part < 5 || part > 55 || !join && part < 10 || t.digitsIn(i) != t.digitsIn(at) {
			return 0, 0, false
		}
		if sign < 0 && part > 29 || !t.apartBySpace(i, at) {
			return 0, 0, false
		}
	}
	if t.is(to, wordHour) || t.is(to, wordMinutes) && !t.is(i-1, wordLead) {
		return 0, 0, false
	}
	return (h%12*60 + sign*part + halfDay) % halfDay, to, true
}

func (t *numberText) digitsIn(i int) bool { return fold.IsDigit(t.word(i)[0]) }

// apartBySpace reports whether nothing but spaces stands between two words and those between them.
func (t *numberText) apartBySpace(i, j int) bool {
	for _, c := range t.b[t.ws[i].To:t.ws[j].From] {
		if c != ' ' && !fold.IsLetter(c) && !fold.IsDigit(c) {
			return false
		}
	}
	return true
}

// bareHour is an hour alone, which may be anything else that counts so many.
func (t *numberText) bareHour(i int) (minutes, to int, ok bool) {
	h, to, ok := t.hour(i)
	if !ok || t.is(to, wordHour) || t.is(to, wordMinutes) || t.is(to, wordJoin) && (t.is(to+1, wordHalf|wordQuarter) || t.is(to+2, wordHalf|wordQuarter)) {
		return 0, 0, false
	}
	if w := t.word(i); fold.IsDigit(w[0]) && w[len(w)-1] == 'h' && !t.is(i-1, wordLead) {
		return 0, 0, false
	}
	if h > 12 {
		return h % 24 * 60, to, true
	}
	return h % 12 * 60, to, true
}

// mostToHalf is how many words may stand between a time and its half of the day: "las once de la noche".
const mostToHalf = 2

// halfOfDay takes the half of the day that is said with a time, and gives the word behind it.
func (t *numberText) halfOfDay(c *Clock, i, to int) int {
	if c.Day {
		return to
	}
	half, end := numberRole(0), to
	const halves = wordAM | wordPM | wordNight
	if w := t.word(to - 1); fold.IsDigit(w[0]) { // "11pm"
		n := 0
		for n < len(w) && fold.IsDigit(w[n]) {
			n++
		}
		half = t.roles[string(w[n:])]
	}
	if half&halves == 0 && to+1 < len(t.ws) && string(t.word(to+1)) == "m" { // "11 p.m."
		if w := string(t.word(to)); w == "a" || w == "p" {
			half, end = t.roles[w+"m"], to+2
		}
	}
	for j := to; half&halves == 0 && j < min(to+mostToHalf+1, len(t.ws)) && !t.counts(j); j++ {
		if half = t.roles[string(t.word(j))]; half&halves != 0 {
			end = j + 1
		}
	}
	if half&wordNight != 0 { // of eleven and of two
		half = wordAM
		if c.Minutes >= halfDay/2 {
			half = wordPM
		}
	}
	switch {
	case half&wordAM != 0:
		c.Day, c.Bare = true, false
		return end
	case half&wordPM != 0:
		c.Day, c.Bare, c.Minutes = true, false, c.Minutes%halfDay+halfDay
		return end
	}
	return to
}

// Worn is the time from one time of day to a later one, in minutes; false where nobody wears the appliance so short or so long.
func (c *Clock) Worn(until *Clock) (minutes int, ok bool) {
	day := halfDay
	if c.Day && until.Day {
		day = wholeDay
	}
	minutes = ((until.Minutes-c.Minutes)%day + day) % day
	return minutes, minutes >= leastWorn && minutes <= mostWorn
}

const (
	leastWorn = 2 * 60
	mostWorn  = 12 * 60
)
