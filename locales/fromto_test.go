package locales

import (
	"slices"
	"testing"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// TestSpans finds the times between two times of day that may be those in which it was worn.
func TestSpans(t *testing.T) {
	w := load(t)
	for text, want := range map[string][]int{
		"in at half ten, out at six":                              {450},
		"put it in at ten, pain 2, took it out at half past five": {240, 210, 450}, // which of them holds is judged
		"in at ten to eleven, out quarter to seven":               {475},
		"me la puse a las once y media hasta las seis y cuarto":   {405},
		"from midnight until noon":                                {720},
		"in at 23:15, out 7.30":                                   {495},
		"bus at six, another at seven":                            nil, // nobody wears it an hour
		"no times of day":                                         nil,
	} {
		b := fold.Text(nil, text)
		p := prose{text: b, tags: w.nets.Answers.Tag(b)}
		var got []int
		for _, s := range p.spans() {
			got = append(got, s.minutes)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}

// TestWornByTheClock writes down the hours between two times of day, however they are told, and none of a night on the road.
func TestWornByTheClock(t *testing.T) {
	w := load(t)
	for text, want := range map[string]int{
		"in at half ten, out at half five when I got up":                  420,
		"put it in at quarter to eleven and took it out at twenty to six": 415,
		"in 10.45 out 6.15": 450,
		"me la puse a las once y media y me la quité a las seis": 390,
		"drove from ten to six":                                  -1,
		"the shop is open from nine to five, pain 2":             -1,
	} {
		got := -1
		for _, x := range w.Read(text).Tokens {
			if x.Field.Row().Name == "wornminutes" && x.Value.Known() {
				got = x.Value.N()
			}
		}
		if got != want {
			t.Errorf("%q: %d minutes, want %d", text, got, want)
		}
	}
}

// TestClocksAreNoDoubt leaves no number in doubt that is a part of the times that made the hours, and any other.
func TestClocksAreNoDoubt(t *testing.T) {
	w := load(t)
	for text, want := range map[string]bool{"in at half ten out at twenty to six, snoring 4": false, "in at half ten out at twenty to six, pain 3-4": true} {
		if r := w.Read(text); (r.Doubt != reading.NoDoubt) != want {
			t.Errorf("%q: doubt %v of %v", text, r.Doubt, r.About)
		}
	}
}
