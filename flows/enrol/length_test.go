package enrol

import (
	"slices"
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// puts fills single blanks, and gives the keys of what was wrong with each.
func puts(t *testing.T, f *Filled, pairs ...string) (keys []string) {
	t.Helper()
	for n := 0; n < len(pairs); n += 2 {
		ps := f.Put(FormFields(), FormIndex(FormFields(), pairs[n]), pairs[n+1])
		for _, p := range append(ps, f.Follow(FormFields())...) {
			keys = append(keys, p.Field+" "+p.Key)
		}
	}
	return keys
}

func (f *Filled) is(key string) (has, waits bool) {
	i := FormIndex(FormFields(), key)
	return f.Has(i), f.Waiting(i)
}

// A length or share that cannot be counted yet waits, unrefused and uncounted, for all
// that it is counted by: never from nought.
func TestLengthsWait(t *testing.T) {
	for _, c := range []struct {
		key, text string
		open      []string // what is filled in then, one after the other; it is counted with the last
		want      string
	}{
		{"travel", "5 mm", []string{"step-mm", "0.25"}, "20"},
		{"ceiling", "5.5 mm", []string{"step-mm", "0.25", "start", "4"}, "6"},
		{"ceiling", "5.5 mm", []string{"start", "4", "step-mm", "0.25"}, "6"},
		{"start", "50 %", []string{"max-mm", "8", "zero", "habitual"}, "4"},
		{"start", "50 %", []string{"zero", "habitual", "max-mm", "8"}, "4"},
		{"ceiling", "70 %", []string{"step-mm", "0.25", "max-mm", "8", "zero", "habitual", "start", "4"}, "6"},
	} {
		var f Filled
		if ps := puts(t, &f, c.key, c.text); len(ps) > 0 {
			t.Fatalf("%s %s: %v", c.key, c.text, ps)
		}
		for n := 0; n < len(c.open); n += 2 {
			if has, waits := f.is(c.key); has || !waits {
				t.Errorf("%s %s before %s: filled in %v, waits %v", c.key, c.text, c.open[n], has, waits)
			}
			if ps := puts(t, &f, c.open[n], c.open[n+1]); len(ps) > 0 {
				t.Errorf("%s %s with %s: %v", c.key, c.text, c.open[n], ps)
			}
		}
		field := FormFields()[FormIndex(FormFields(), c.key)]
		if has, waits := f.is(c.key); !has || waits || field.Text(&f.Enrolment) != c.want {
			t.Errorf("%s %s: %v %v %q, want %s", c.key, c.text, has, waits, field.Text(&f.Enrolment), c.want)
		}
	}
}

// A length is held to the bounds of the steps that it comes to, and where one no longer
// fits the others follow all the same.
func TestLengthsFit(t *testing.T) {
	var f Filled
	if ps := puts(t, &f, "step-mm", "0.25", "max-mm", "8", "zero", "habitual", "start", "4", "travel", "0.2 mm"); !slices.Equal(ps, []string{"travel enrol.bad.bounds"}) {
		t.Fatalf("%v", ps)
	}
	if has, _ := f.is("travel"); has {
		t.Error("a travel of no step at all was taken")
	}
	if ps := puts(t, &f, "step-mm", "0.1", "travel", "0.2 mm", "ceiling", "70 %", "timetable", "yes", "timetable-top", "4.5 mm"); len(ps) > 0 {
		t.Fatalf("%v", ps)
	}
	ps := puts(t, &f, "step-mm", "0.25")
	if !slices.Equal(ps, []string{"travel enrol.bad.bounds", "ceiling enrol.moved.share", "timetable-top enrol.moved.mm"}) {
		t.Errorf("%v", ps)
	}
	if has, _ := f.is("travel"); has || f.Enrolment.Plan.Limits.Ceiling != 6 || f.Enrolment.Plan.Limits.TimetableTop != 2 {
		t.Errorf("%v %+v", has, f.Enrolment.Plan.Limits)
	}
	// What was typed in steps stays in steps.
	if ps := puts(t, &f, "ceiling", "5", "step-mm", "0.5"); !slices.Equal(ps, []string{"timetable-top enrol.moved.mm"}) || f.Enrolment.Plan.Limits.Ceiling != 5 {
		t.Errorf("%v, ceiling %d", ps, f.Enrolment.Plan.Limits.Ceiling)
	}
}

// A tooth's overlap is kept in tenths of a mm, so a finer one is refused, not cut.
func TestTenthsOfMM(t *testing.T) {
	var f Filled
	if ps := puts(t, &f, "overjet-mm", "2.55", "overbite-mm", "-1.5"); !slices.Equal(ps, []string{"overjet-mm enrol.bad.tenthmm"}) ||
		f.Enrolment.Baseline.Overjet.Known() || f.Enrolment.Baseline.Overbite != chart.Num(-15) {
		t.Errorf("%v %+v", ps, f.Enrolment.Baseline)
	}
}

// A default that had to wait is still a default: it follows what is usual.
func TestDefaultThatWaited(t *testing.T) {
	fields, today := FormFields(), civil.DateOf(2026, time.March, 2)
	pr := practice.Practice{Lang: "en", Zone: "Europe/Madrid", Templates: []practice.Template{
		{Name: "A", Blanks: []practice.Blank{{Key: "travel", Value: "5 mm"}}}, {Name: "B", Blanks: []practice.Blank{{Key: "travel", Value: "4 mm"}}}}}
	never := func(int) bool { return false }
	var f Filled
	puts(t, &f, "template", "A")
	f.Take(fields, &pr, today, never)
	puts(t, &f, "step-mm", "0.25")
	if !slices.Contains(f.Usual, int16(FormIndex(fields, "travel"))) || f.Enrolment.Appliance.Travel != 20 {
		t.Fatalf("%v, %d", f.Usual, f.Enrolment.Appliance.Travel)
	}
	puts(t, &f, "template", "B")
	if f.Take(fields, &pr, today, never); f.Enrolment.Appliance.Travel != 16 {
		t.Errorf("travel %d", f.Enrolment.Appliance.Travel)
	}
}
