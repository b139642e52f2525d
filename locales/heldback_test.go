package locales

import (
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// wrote reports whether an answer is written of a text.
func wrote(w *Words, text string, f chart.Field, v chart.Answer) bool {
	r := w.Read(text)
	return slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Field == f && t.Value == v })
}

// TestHeldBack asks about an exception, about what was so at another time, and about minutes of a bite that is not back; beside each stands
// what is written.
func TestHeldBack(t *testing.T) {
	w := load(t)
	for _, c := range []struct {
		text    string
		field   chart.Field
		value   int
		written bool
	}{
		{"all night except tuesday", chart.Worn, chart.WornAll, false},
		{"toda la noche menos el martes", chart.Worn, chart.WornAll, false},
		{"all night bar the last hour", chart.Worn, chart.WornAll, false},
		{"toda la noche menos una hora", chart.Worn, chart.WornAll, false},
		{"all night, pain 3", chart.Worn, chart.WornAll, true},
		{"sleepy was 6 last week, no headache today", chart.Sleepiness, 6, false},
		{"sleepy was 6 last week, no headache today", chart.Headache, chart.No, true},
		{"antes de la placa me dolía un 6", chart.Pain, 6, false},
		{"hoy dolor 2, antes del aparato un 7", chart.Pain, 2, true},
		{"bite still not back, 40 min now", chart.BiteMinutes, 40, false},
		{"bite back after 40 min", chart.BiteMinutes, 40, true},
	} {
		if got := wrote(w, c.text, c.field, chart.Num(c.value)); got != c.written {
			t.Errorf("%q: %s=%d written %v", c.text, c.field.Row().Name, c.value, got)
		}
	}
}

// TestUntilMorning takes two times of day that may be those of a whole night for no part of it, unless something else says so.
func TestUntilMorning(t *testing.T) {
	w := load(t)
	part := chart.Num(chart.WornPart)
	for text, want := range map[string]bool{
		"in at half ten out at half five, pain 2": false, "in at eleven, out at half five, no pain": false, "in at 11 out at 2": true,
	} {
		if got := wrote(w, text, chart.Worn, part); got != want {
			t.Errorf("%q: a part of the night %v", text, got)
		}
	}
	if r := w.Read("took it out round 3am cause my jaw was aching, about 4 out of 10. snored 5"); r.Doubt != reading.NoDoubt {
		t.Errorf("a time of day is a number in doubt: %+v", r)
	}
}

// What is denied, stored away, an exception, a time of day, or of a side that hurts writes no value: it is asked.
func TestDeniedStoredAndTimes(t *testing.T) {
	w := load(t)
	for text, field := range map[string]chart.Field{
		"no está en 3": chart.SettingLeft, "it does not stand at 6": chart.SettingLeft, "I forgot to set it to 12": chart.SettingLeft, "setting isn't 5": chart.SettingLeft,
		"pain 2 left, 4 right": chart.SettingRight, "dolor 2 izquierda, 4 derecha": chart.SettingRight,
		"out all night": chart.Worn, "toda la noche en la caja": chart.Worn, "all night with the cpap": chart.Worn,
		"snored until 4": chart.Gone, "lo tuve hasta las 5": chart.Gone, "I kept it in until five": chart.Gone,
		"pain at 3 in the night": chart.Pain, "at 9 no pain": chart.Pain, "no pain after 9": chart.Pain, "guide at 8": chart.GuideMinutes,
		"ronqué 3 horas": chart.WornMinutes, "bite ok just on the left": chart.Bite, "la mordida bien solamente por la izquierda": chart.Bite,
	} {
		r := w.Read(text)
		for _, x := range r.Tokens {
			if x.Field == field && x.Value.Known() && !(field == chart.Bite && x.Value.Is(chart.BiteOne)) {
				t.Errorf("%q writes %v", text, x)
			}
		}
		if r.Sure != 0 {
			t.Errorf("%q is surely %v", text, r.Sure.All())
		}
	}
	for _, text := range []string{"it stands at 5, no pain", "left 4, right 5, no headache", "not 7, it stands at 8", "it's on 2 still, didn't turn it", "left 4 right 4 and the jaw pain is a 2"} {
		if r := w.Read(text); !slices.ContainsFunc(r.Tokens, func(x reading.Token) bool { return x.Field == chart.SettingLeft && x.Value.Known() }) {
			t.Errorf("%q writes no setting", text)
		}
	}
}

// A danger that is told along with its end is asked about; good news alone is none, and what stands on a button says no more than that.
func TestPassed(t *testing.T) {
	w := load(t)
	for _, text := range []string{"hoy al desayunar se me cerró la garganta un momento pero ya pasó", "my throat closed up for a moment but it passed"} {
		if r := w.Read(text); (r.Sure|r.Unsure).Class() != 'E' || r.Over {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{"no, that was this morning, it's over now", "it's over now, im fine"} {
		if r := w.Read(text); !r.Over || r.Sure != 0 {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{"New: tablets", "Novedad: pastillas", "thank you! good night"} {
		if r := w.Read(text); r.Dangerous() || r.Understood != reading.InFull {
			t.Errorf("%q: %+v", text, r)
		}
	}
}
