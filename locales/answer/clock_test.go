package answer

import (
	"fmt"
	"strings"
	"testing"

	"duskdawn/locales/fold"
)

// clocksIn are the times of day of a text, as "22:30"; behind "~" where either half of the day may be meant, in brackets those that are
// a number alone.
func clocksIn(t *testing.T, text string) string {
	t.Helper()
	numbers, err := readNumbers()
	if err != nil {
		t.Fatal(err)
	}
	b := fold.Text(nil, text)
	var all []string
	for _, c := range clocks(b, fold.Words(b, nil), numbers, nil) {
		one := fmt.Sprintf("%d:%02d", c.Minutes/60, c.Minutes%60)
		if !c.Day {
			one = "~" + one
		}
		if c.Bare {
			one = "(" + one + ")"
		}
		all = append(all, one)
	}
	return strings.Join(all, " ")
}

func TestClocks(t *testing.T) {
	for text, want := range map[string]string{
		"in at half ten out at half five":                    "~10:30 ~5:30",
		"ten past eleven in, twenty to six out":              "~11:10 ~5:40",
		"quarter to eleven, out quarter past six":            "~10:45 ~6:15",
		"a quarter of six":                                   "~5:45",
		"in at 22:45 out 6.30":                               "22:45 ~6:30",
		"9.30 and yanked it at 3":                            "~9:30 ~3:00",
		"11pm to 7am":                                        "23:00 7:00",
		"11 p.m. until 6:30 a.m.":                            "23:00 6:30",
		"ten fifteen till six fifteen":                       "~10:15 ~6:15",
		"had it in all night, ten till six":                  "(~10:00) ~6:00",
		"from ten to six":                                    "~10:00 (~6:00)",
		"out at ten to six":                                  "~5:50",
		"midnight until noon":                                "0:00 12:00",
		"seven hours, guide 10 min":                          "",
		"7 and a half hours":                                 "",
		"pain 3, snore 2":                                    "(~3:00) (~2:00)",
		"in by 10 at night, out at 6 in the morning":         "22:00 6:00",
		"me la puse a las once menos cuarto":                 "~10:45",
		"a las 11 y media, fuera a las seis y veinte":        "~11:30 ~6:20",
		"cuarto para las once hasta las 7 de la mañana":      "~10:45 7:00",
		"de 10 y media a 5 y media":                          "~10:30 ~5:30",
		"de las 12 de la noche a las 6":                      "0:00 ~6:00",
		"a las 2 de la noche":                                "2:00",
		"a media noche, desde las once treinta, al mediodía": "0:00 ~11:30 12:00",
		"siete horas y media, dolor 2":                       "(~2:00)",
		"guía 10 minutos y media hora después mordida bien":  "",
		"me la puse 23 30 y me la saque 6 30":                "23:30 ~6:30",
		"16 20 pulsaciones, 14 30 min":                       "(16:00) (20:00) (14:00)",
		"a las 23 hs":                                        "23:00",
		"veinte para las seis; un cuarto para la una":        "~5:40 ~0:45",
	} {
		if got := clocksIn(t, text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
