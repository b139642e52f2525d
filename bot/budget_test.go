package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
)

// hoursOf is a practice whose patients all have the usual hours.
func hoursOf(patients int) budget {
	b := budget{patients: patients}
	b.hours[21*60], b.hours[7*60+30] = float64(patients), float64(patients)
	return b
}

// The budget of round practices, worked out by hand: few are sent in one go;
// many are spread, and 29 a second is what one bot sends.
func TestBudget(t *testing.T) {
	small := hoursOf(290)
	if l := small.with(290); l.window != 1 || l.from != 7*60+30 || l.prompts != 290 || l.wait != 0 || l.late {
		t.Errorf("290 patients: %+v", l)
	}
	large := hoursOf(6000) // 30 minutes wide, 200 prompts and 1,200 answers a minute of 1,740
	if l := large.with(6000); l.window != 25 || l.from != 7*60+30 || int(l.prompts+0.5) != 6000 || l.wait != 0 || l.late {
		t.Errorf("6,000 patients: %+v", l)
	}
	// Two hours a day apart share nothing; the same hour twice counts twice.
	apart, together := hoursOf(3000), budget{patients: 3000}
	together.hours[21*60] = 6000
	if a, b := apart.with(3000), together.with(3000); int(b.prompts+0.5) != 2*int(a.prompts+0.5) {
		t.Errorf("%v prompts in one hour, %v in two", b.prompts, a.prompts)
	}
}

// One bot's most is where it goes wrong and not before: a prompt waits longer
// than ten minutes, or answers longer than one. Between them check warns.
func TestBudgetWarnsBeforeItIsPassed(t *testing.T) {
	b := hoursOf(1000)
	most := b.most()
	if !b.fits(most) || b.fits(most+most/20) {
		t.Errorf("%d patients: %+v, 5 %% more: %+v", most, b.with(most), b.with(most+most/20))
	}
	// 30 minutes of 1,740 messages, seven for each check-in, bound it from
	// below; what the platform takes of prompts alone in them, and in the ten
	// minutes that one may wait, from above.
	if least, top := 30*60*store.BulkPerSecond/(1+turnsMost), 40*60*store.BulkPerSecond; most < least || most > top {
		t.Errorf("one bot serves %d patients with the same hours, want %d to %d", most, least, top)
	}
	for _, c := range []struct {
		patients int
		wrong    []bool // of the lines that tell
	}{
		{most / 2, []bool{false, false, false}},
		{most * 9 / 10, []bool{false, false, true}}, // not passed yet
		{most * 11 / 10, []bool{false, true, true}},
		{0, []bool{false}},
	} {
		b := hoursOf(c.patients)
		var got []bool
		var text strings.Builder
		b.tell(func(ok bool, what string, v ...any) {
			got = append(got, !ok)
			fmt.Fprintf(&text, what+"\n", v...)
		})
		if fmt.Sprint(got) != fmt.Sprint(c.wrong) {
			t.Errorf("%d of %d patients: wrong %v, want %v\n%s", c.patients, most, got, c.wrong, text.String())
		}
		if c.patients > 0 && !strings.Contains(text.String(), fmt.Sprint(most)) {
			t.Errorf("it does not say that %d is the most:\n%s", most, text.String())
		}
	}
}

// The hours are read from the patients themselves, each in their own zone; who
// is done, or has no plan yet, is not asked.
func TestBudgetReadsEverybodysHours(t *testing.T) {
	ctx, st := t.Context(), memory.New()
	defer st.Close()
	now := time.Date(2026, 11, 3, 12, 0, 0, 0, time.UTC)
	for i, p := range []flows.Patient{
		{Zone: "America/New_York", Plan: chart.Plan{Rev: 1, Evening: 21 * 60, Morning: 7 * 60}, Course: pacing.Course{State: chart.Stepping}},
		{Zone: "Europe/Madrid", Plan: chart.Plan{Rev: 1, Evening: 22 * 60, Morning: 8 * 60}, Course: pacing.Course{State: chart.Holding}},
		{Plan: chart.Plan{Rev: 1, Evening: 22 * 60, Morning: 8 * 60}, Course: pacing.Course{State: chart.Settling}}, // at the practice's
		{Zone: "Europe/Madrid", Plan: chart.Plan{Rev: 1, Evening: 22 * 60, Morning: 8 * 60}, Course: pacing.Course{State: chart.Ended}},
		{Zone: "Europe/Madrid", Course: pacing.Course{State: chart.Invited}},
	} {
		p.ID = flows.NewPatientID([16]byte{byte(i + 1)})
		body, err := store.EncodePatient(&p)
		if err != nil {
			t.Fatal(err)
		}
		if err := st.Update(ctx, scheduler.PatientRef(p.ID), "e", now, func(store.Aggregate) (store.Change, error) {
			return store.Change{Body: body, Summary: &store.Summary{State: p.Course.State.String()}}, nil
		}); err != nil {
			t.Fatal(err)
		}
	}
	var refs []store.Ref
	for s, err := range st.List(ctx, store.Query{}) {
		if err != nil {
			t.Fatal(err)
		}
		refs = append(refs, s.Ref)
	}
	b, err := budgetOf(ctx, st, refs, "Europe/Madrid", now)
	if err != nil {
		t.Fatal(err)
	}
	// On 3 November New York is five hours behind UTC, Madrid one ahead.
	want := map[int]float64{2 * 60: 1, 12 * 60: 1, 21 * 60: 2, 7 * 60: 2}
	for m, n := range b.hours {
		if n != want[m] {
			t.Errorf("%v check-ins at minute %d, want %v", n, m, want[m])
		}
	}
	if b.patients != 3 {
		t.Errorf("%d patients are asked, want 3", b.patients)
	}
	var said []string
	if err := checkStore(ctx, app{out: io.Discard}, st, func(_ bool, what string,
		v ...any) {
		said = append(said, fmt.Sprintf(what, v...))
	}); err != nil {
		t.Fatal(err)
	}
	if text := strings.Join(said, "\n"); !strings.Contains(text, "3 patients, about 45 a day") {
		t.Errorf("check says\n%s", text)
	}
}

// check says what each person was sent in seven days, by reason, and warns where it
// is more than one can carry.
func TestBudgetOfTheDesk(t *testing.T) {
	today := civil.DateOf(2026, time.March, 8)
	pr := practice.Practice{Staff: []practice.Staff{{ID: "s1", Label: "Dr A"}, {ID: "s2", Label: "B"}}}
	b := budget{carded: []flows.Patient{{Carded: []flows.Carded{{Day: today, Who: "s1", Reason: "P16", N: 74}, {Day: today - 6, Who: "s1", Reason: "call", N: 1},
		{Day: today - 7, Who: "s1", Reason: "P13", N: 99}, {Day: today, Who: "s2", Reason: "P16", N: 76}, {Day: today, Who: "s2", Reason: "chest", N: 3, Urgent: true}}}}}
	var told []string
	var well []bool
	b.tellDesk(&pr, today, func(ok bool, what string, v ...any) {
		well, told = append(well, ok), append(told, fmt.Sprintf(what, v...))
	})
	want := []string{"desk: Dr A had 15.0 cards a working day of the 15 that one person can carry, and 0 rings of E and S, in seven days, 74 P16, 1 call",
		"desk: B had 15.2 cards a working day of the 15 that one person can carry, and 3 rings of E and S, in seven days, 76 P16"}
	if !slices.Equal(told, want) || !slices.Equal(well, []bool{true, false}) {
		t.Errorf("%v\n%s", well, strings.Join(told, "\n"))
	}
}
