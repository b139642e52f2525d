package locales_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/locales"
)

// A line a night, or a table, in both languages; a date without a year is the newest
// that is not ahead. What is no date is left to the reading.
func TestNights(t *testing.T) {
	w, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, time.January, 5, 10, 0, 0, 0, time.UTC)
	nov, dec, jan := civil.DateOf(2025, time.November, 30), civil.DateOf(2025, time.December, 31), civil.DateOf(2026, time.January, 2)
	for text, want := range map[string]string{
		"31 Dec: all night, snore 3, pain 2\nJan 2, all night, snoring 4":                  fmt.Sprint(dec, " pain=2 snoring=3; ", jan, " snoring=4"),
		"mié 31 de dic toda la noche, ronquido 3, dolor 2\n2 de enero de 2026: ronquido 4": fmt.Sprint(dec, " pain=2 snoring=3; ", jan, " snoring=4"),
		"2025-11-30 all night, snore 3\n\n2026-01-02 snore 4":                              fmt.Sprint(nov, " snoring=3; ", jan, " snoring=4"),
		"date\tworn\tsnoring\tpain\n31 Dec\tall night\t3\t–\n2 Jan\t\t4\t1":                fmt.Sprint(dec, " snoring=3; ", jan, " pain=1 snoring=4"),
		"| noche | ronquido | dolor |\n| 2025-12-31 | 3 | 2 |\n| 2 ene | 4 | - |":          fmt.Sprint(dec, " pain=2 snoring=3; ", jan, " snoring=4"),
		"2 Jan: snore 4":                       fmt.Sprint(jan, " snoring=4"),
		"snore 3\nsnore 4":                     "0 snoring=3; 0 snoring=4",
		"31 Nov: snore 3\n2 Jan: snore 4":      "0 snoring=3; " + fmt.Sprint(jan, " snoring=4"),
		"snore 3, pain 2":                      "",
		strings.Repeat("2 Jan: snore 3\n", 40): "",
	} {
		var got []string
		for _, n := range w.Nights(text, now) {
			line := "0"
			if n.Night != 0 {
				line = n.Night.String()
			}
			v := map[chart.Field]chart.Answer{}
			for _, tok := range n.Reading.Tokens {
				v[tok.Field] = tok.Value
			}
			for _, f := range []chart.Field{chart.Pain, chart.Snoring} {
				if v[f].Known() {
					line += fmt.Sprintf(" %s=%d", f.Row().Name, v[f].N())
				}
			}
			got = append(got, line)
		}
		if g := strings.Join(got, "; "); g != want {
			t.Errorf("%q\ngot  %s\nwant %s", text, g, want)
		}
	}
}

// What is no date of the calendar, no answer, or stands in no column is named, and never
// left out or taken for another night.
func TestNightsLost(t *testing.T) {
	w, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, time.March, 9, 10, 0, 0, 0, time.UTC)
	for text, want := range map[string]string{
		"31 Feb: pain 1":             "1 [31 Feb]",
		"Mon 31 Feb 2026, pain 1":    "1 [Mon 31 Feb 2026]",
		"2026-02-31 dolor 1":         "1 [2026-02-31]",
		"2026-3-2 pain 1":            "1 [2026-3-2]",
		"31 de feb: dolor 1":         "1 [31 de feb]",
		"pain 1, snoring banana":     "1 snoring banana",
		"dolor 1; ronquido plátano":  "1 ronquido plátano",
		"2 Mar: 31/02 pain 1":        "1 31/02 pain 1",
		"2 Mar; all night; pain 1":   "",
		"2 Mar: all night, pain 1":   "",
		"2 Mar: pain 1, gone by 9\n": "",
		"date;worn;snoring;pain\n2 Mar;all;3;1\n3 Mar;yes;banana;-\n4 Mar;all night;3;1;5": "2 worn: all; 3 worn: yes; 3 snoring: banana; 4 5",
		"noche|puesto|dolor\n2 mar|banana|1\n31 feb|toda la noche|1":                       "2 puesto: banana; 3 [31 feb]",
		"2 Mar;all night;pain 1\n3 Mar;all night;banana\n4 Mar;all night;3":                "3 3",
	} {
		var got []string
		for _, n := range w.Nights(strings.ReplaceAll(text, "\\n", "\n"), now) {
			if n.NoDate != "" {
				got = append(got, fmt.Sprintf("%d [%s]", n.Line, n.NoDate))
			}
			for _, part := range n.Lost {
				got = append(got, fmt.Sprintf("%d %s", n.Line, part))
			}
		}
		if g := strings.Join(got, "; "); g != want {
			t.Errorf("%q\ngot  %s\nwant %s", text, g, want)
		}
	}
}

// What is looked for stands behind a word that says so, in any language.
func TestFind(t *testing.T) {
	w, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{"find heron": "heron", "/find Heron 0": "Heron 0", "Buscar  grúa": "grúa", "SEARCH 042": "042", "find": "", "heron": "",
		"please find heron": ""} {
		if got := w.Find(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
