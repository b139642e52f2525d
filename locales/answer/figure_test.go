package answer

import (
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/locales/fold"
)

// TestFigures finds numbers in digits and in words, and what beside them makes them another one.
func TestFigures(t *testing.T) {
	type figure struct {
		n     int16
		whole bool
		more  int16
	}
	for text, want := range map[string][]figure{
		"pain 3, snoring two":            {{3, true, 0}, {2, true, 0}},
		"7h and pain 4/10":               {{7, true, 0}, {4, true, 0}},
		"twenty five minutes":            {{25, true, 0}},
		"treinta y cinco minutos":        {{35, true, 0}},
		"out at 3:30":                    {{3, false, 0}},
		"7.5 hours":                      {{7, true, 2}},
		"6 and a half hours":             {{6, true, 2}},
		"siete horas y media":            {{7, true, 2}},
		"seven hours and three quarters": {{7, true, 3}, {3, false, 0}},
		"an hour and twenty":             {{20, false, 0}},
		"hora y veinte":                  {{20, false, 0}},
		"7,25 or so":                     {{7, true, 1}},
		"seven hours and a bit":          {{7, false, 0}},
		"pain -3, +4 and a-5":            {{3, false, 0}, {4, false, 0}, {5, false, 0}},
		"3-4":                            {{3, false, 0}},
		"three or four":                  {{3, false, 0}, {4, true, 0}},
		"3 or maybe 4":                   {{3, false, 0}, {4, true, 0}},
		"12345 and no other":             nil,
		"setting 8 and 9 on the right":   {{8, true, 0}, {9, true, 0}},
		"veinte y uno, treinta y":        {{21, true, 0}, {30, true, 0}},
		"the fifth, anyone, onto":        nil,
	} {
		_, got, _, _, err := TokensOf(fold.Text(nil, text))
		if err != nil {
			t.Fatal(err)
		}
		ok := len(got) == len(want)
		for i := range want {
			ok = ok && got[i].N == want[i].n && got[i].Whole == want[i].whole && got[i].Quarters == want[i].more
		}
		if !ok {
			t.Errorf("%q: %+v, want %v", text, got, want)
		}
	}
}

// TestRoles gives every role a question of its own that takes numbers, and back.
func TestRoles(t *testing.T) {
	for r := RoleNone + 1; r < RoleFrom; r++ {
		if f := r.Field(); f == chart.NoField || RoleOf(f) != r || f.Row().Kind == chart.Choice || f.Row().Kind == chart.YesNo {
			t.Errorf("role %d: %v", r, f)
		}
	}
	if RoleOf(chart.Worn) != RoleNone || RoleOf(chart.NoField) != RoleNone || RoleNone.Field() != chart.NoField {
		t.Error("none is one")
	}
	if RoleFrom.Field() != chart.NoField || RoleTo.Field() != chart.NoField {
		t.Error("a time of day answers a question by itself")
	}
	for _, c := range []struct {
		n    int16
		f    chart.Field
		v    chart.Answer
		want bool
	}{{6, chart.WornMinutes, chart.Num(390), true}, {6, chart.WornMinutes, chart.Num(420), false}, {1, chart.BiteMinutes, chart.Num(60), true},
		{20, chart.BiteMinutes, chart.Num(20), true}, {5, chart.BiteMinutes, chart.Num(300), false}, {3, chart.Pain, chart.Num(3), true},
		{0, chart.Pain, chart.Unknown, false}} {
		if g := (Figure{N: c.n}); g.Means(c.f, c.v) != c.want {
			t.Errorf("%+v", c)
		}
	}
}

// TestHearFigures hears from the words around it what a number answers.
func TestHearFigures(t *testing.T) {
	n := load(t)
	for text, want := range map[string][]Role{
		"pain was a 3 and she gave the snoring a 5":      {RolePain, RoleSnoring},
		"slept seven hours with it in, guide 10 minutes": {RoleHours, RoleGuide},
		"took it out at 3":                {RoleNone},
		"la tengo en el 6, dolor 2":       {RoleSetting, RolePain},
		"mordida normal a los 20 minutos": {RoleBite},
	} {
		got := n.Tag(fold.Text(nil, text)).Figures
		for i, r := range want {
			best := RoleNone
			for o := range got[i].Share {
				if got[i].Share[o] > got[i].Share[best] {
					best = Role(o)
				}
			}
			if len(got) != len(want) || best != r {
				t.Errorf("%q: figure %d is heard as role %d: %.2f", text, i, best, got[i].Share)
			}
		}
	}
	for _, text := range []string{"", strings.Repeat("3 ", MaxFigures), strings.Repeat("a ", mostTokens) + "3"} {
		if got := n.Tag([]byte(text)).Figures; len(got) > 0 {
			t.Errorf("%d bytes: %d figures", len(text), len(got))
		}
	}
	for _, text := range []string{"\xff3", "3", "3 3", " 9/", "treinta y", "veinte"} {
		n.Tag([]byte(text)) // any bytes
	}
}

func BenchmarkFigures(b *testing.B) {
	n := load(b)
	text := fold.Text(nil, "Wore it seven hours, jaw about a four when I woke up but it went by ten, snoring two she says, bite took twenty minutes")
	b.ReportAllocs()
	for b.Loop() {
		n.Tag(text)
	}
}
