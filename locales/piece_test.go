package locales

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
	"duskdawn/locales/sentence"
)

// TestPieces cuts texts into what they tell of each day: the day, what the piece before it is about where the piece leaves that
// out, and the piece.
func TestPieces(t *testing.T) {
	w := load(t)
	for text, want := range map[string][]string{
		"wore it Wed and Thu, not Fri, had a skinful":          {"Wed [wore it] wed and thu", "Thu [wore it] wed and thu", "Fri [wore it] not fri, had a skinful"},
		"wore it sunday and monday not tuesday":                {"Sun [wore it] sunday and monday", "Mon [wore it] sunday and monday", "Tue [wore it] not tuesday"},
		"Monday all night, Tuesday not at all":                 {"Mon [] monday all night", "Tue [] tuesday not at all"},
		"drove Wed, was sleepy doing it, got the train Thu":    {"Wed [drove] wed, was sleepy doing", "Thu [drove] it, got the train thu"},
		"snoring thu 7, fri 5":                                 {"Thu [snoring] thu 7", "Fri [snoring] fri 5"},
		"Tuesday headache, Wednesday no, and I had none today": {"Tue [] tuesday headache", "Wed [headache] wednesday no", "- [headache] and i had none today"},
		"el sábado me despertó el dolor, anoche no":            {"Sat [] sabado me desperto el dolor", "-1 [me desperto el dolor] anoche no"},
		"de lunes a miércoles toda la noche, el jueves nada":   {"Mon [] lunes a miercoles toda la noche", "Tue [] lunes a miercoles toda la noche", "Wed [] lunes a miercoles toda la noche", "Thu [] el jueves nada"},
		"el lunes bien, el martes no la aguanto por el dolor":  {"Mon [] lunes bien", "Tue [] el martes no la aguanto por el dolor"},
		"Fri to Sun all night, Mon forgot":                     {"Fri [] fri to sun all night", "Sat [] fri to sun all night", "Sun [] fri to sun all night", "Mon [] mon forgot"},
	} {
		b := fold.Text(nil, text)
		var h danger.Hearing
		var tags answer.Tags
		p := w.prose.claims(b, &h, &tags)
		var got []string
		for _, q := range p.parts {
			day := "-"
			switch q.day.Kind {
			case reading.DayWeek:
				day = time.Weekday(q.day.N).String()[:3]
			case reading.DaysAgo:
				day = fmt.Sprint(-q.day.N)
			}
			got = append(got, fmt.Sprintf("%s [%s] %s", day, strings.TrimSpace(string(q.lead)), strings.TrimLeft(string(b[q.from:q.to]), " ,.")))
		}
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("%q:\n got  %q\nwant %q", text, got, want)
		}
	}
}

// TestAnyPieces reads days with halves of all kinds of sentences between them: a piece stands in its text, whatever it says.
func TestAnyPieces(t *testing.T) {
	w := load(t)
	all, err := sentence.Folder(os.DirFS("testdata/sentences/work"))
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(11, 12))
	half := func() string {
		words := strings.Fields(all[r.IntN(len(all))].Text)
		if n := len(words) / 2; r.IntN(2) == 0 {
			words = words[n:]
		} else {
			words = words[:n]
		}
		return strings.Join(words, " ")
	}
	cut := 0
	for range 10_000 {
		text := strings.Join([]string{"monday", half(), []string{"", ", ", " y "}[r.IntN(3)], "martes", half(), half()}, " ")
		b := fold.Text(nil, text)
		var h danger.Hearing
		var tags answer.Tags
		p := w.prose.claims(b, &h, &tags)
		for _, q := range p.parts {
			cut++
			if q.from < 0 || q.to < q.from || int(q.to) > len(b) {
				t.Fatalf("%q: a piece from %d to %d of %d", text, q.from, q.to, len(b))
			}
		}
	}
	if cut < 5_000 {
		t.Errorf("%d pieces", cut)
	}
}
