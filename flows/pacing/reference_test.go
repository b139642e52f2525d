package pacing

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Every evening of random diaries, with a desk, the table says what its text does: of ten
// thousand with the other long tests, else of as many as -courses says.
func TestTableAgainstItsText(t *testing.T) {
	evenings, by, states := 0, map[chart.Rule]int{}, map[chart.State]int{}
	diaries := uint64(*courses)
	if os.Getenv("DUSKDAWN_SIEGE") != "" {
		diaries = max(diaries, 10_000)
	}
	for seed := range diaries {
		d := newDiary(t, seed)
		for range 90 {
			d.desk()
			d.weekly()
			got, _ := d.c.Advise(d.f, d.date())
			want := d.s.advise(d.n)
			if got.Action != want.action || int(got.To) != want.to || d.c.State != d.s.shown() {
				t.Fatalf("diary %d, evening %d: the table says %v to %d (%s of %b), %v; its text %v to %d (P%02d), %v\n%v\n%+v",
					seed, d.n, got.Action, got.To, got.Rule.ID(), got.Fired, d.c.State, want.action, want.to, want.rule,
					d.s.shown(), d.log[max(0, len(d.log)-12):], d.s.n[max(0, d.n-8):])
			}
			evenings++
			by[got.Rule]++
			states[d.c.State]++
			d.reply(want)
			d.morning(want)
			d.n++
		}
	}
	t.Logf("%d evenings, by row %v, by state %v", evenings, by, states)
	for id := P01; id <= P18; id++ {
		if by[id] == 0 && id != P01 { // it is P11 that is shown of a gap
			t.Errorf("%s never spoke", id.ID())
		}
	}
}

// diary is a drawn course, told to the table and to its text alike.
type diary struct {
	dice
	c      Course
	f      Facts
	s      *sheet
	n      int // the evening
	log    []string
	habits habits
}

// habits are one person's, as shares of nights.
type habits struct{ trouble, silent, astray, heard, loud, fall float64 }

func (d *diary) date() civil.Date { return day0 + civil.Date(d.n) }

func (d *diary) hit(share float64) bool { return d.Float64() < share }

func share(t dice, of ...float64) float64 { return of[t.IntN(len(of))] }

func newDiary(t *testing.T, seed uint64) *diary {
	r := dice{t, rand.New(rand.NewPCG(seed, 9)), seed}
	p := sheetPlan{step: pick(r, 100, 250, 250, 500, 1000), settle: pick(r, 1, 2, 3, 7), interval: pick(r, 2, 3, 3, 5),
		rest: pick(r, 2, 3, 3, 5), target: pick(r, 0, 2, 3, 3, 4), loud: pick(r, 6, 7, 7, 8), easy: pick(r, 0, 2, 2, 4),
		factor10: pick(r, 10, 15, 20, 20), gain: pick(r, 70, 80, 90), guide: r.IntN(4) > 0, pain: pick(r, 0, 0, 0, 2)}
	p.ceiling = pick(r, 2, 4, 8, 12)
	if p.step >= 500 {
		p.ceiling = min(p.ceiling, 8000/p.step)
	}
	p.travel = p.ceiling + pick(r, -1, 0, 2, 6)
	if r.IntN(8) == 0 {
		p.timetable, p.top = true, max(1, p.ceiling-2)
	}
	plan := chart.Plan{Rev: 1, Fitted: day0, Limits: chart.Limits{Ceiling: chart.Steps(p.ceiling), Settle: int16(p.settle),
		Interval: int16(p.interval), RestMornings: int16(p.rest), Target: int16(p.target), Loud: int16(p.loud), WornMinutes: 240,
		Pace: 1000, ContactDays: 90, Timetable: p.timetable, TimetableTop: chart.Steps(p.top), EasyPain: chart.Num(p.easy),
		RestFactor: chart.Num(p.factor10), GainShare: chart.Num(p.gain)}}
	d := &diary{dice: r, s: newSheet(p), f: Facts{Plan: &plan,
		Appliance: &chart.Appliance{Step: chart.Micrometres(p.step), Travel: chart.Steps(p.travel), Guide: p.guide},
		Baseline: &chart.Baseline{Max: 16000, Zero: chart.ZeroHabitual, Start: 4000, Pain: chart.Num(p.pain), Sleepy: chart.Num(5),
			Pauses: chart.Num(chart.No), Reporter: chart.Num(chart.ReporterPartner)}}}
	d.habits = habits{trouble: share(r, 0, 0.05, 0.05, 0.15, 0.4), silent: share(r, 0, 0.05, 0.2), astray: share(r, 0, 0.02, 0.1),
		heard: share(r, 1, 1, 0.7, 0.3), loud: share(r, 8, 7, 5, 3), fall: share(r, 0, 0.1, 0.3, 1)}
	d.c.Begin(d.f, day0)
	return d
}

// done notes an act of the desk, which the table must not refuse.
func (d *diary) done(no Refusal, what string, to int) {
	d.log = append(d.log, fmt.Sprintf("%d: %s %d", d.n, what, to))
	if no != Done {
		d.Fatalf("evening %d: %s %d is refused: %s\n%v", d.n, what, to, no, d.log)
	}
}

// desk is what people did that day.
func (d *diary) desk() {
	s := d.s
	at := func(n int) chart.Steps { return chart.Steps(n) }
	switch hard := s.hard(); {
	case len(s.flags) > 0 && d.hit(0.5):
		to := min(s.advised, s.ever())
		if d.hit(0.3) {
			to = d.IntN(to + 1)
		}
		d.done(d.c.Release(d.f, d.date(), "", at(to)), "release", to)
		s.release(d.n, to)
	case d.hit(0.01), s.lapsed, d.n-s.contact > 60 && d.hit(0.2):
		to := d.IntN(hard + 1)
		if d.hit(0.5) {
			to = min(s.at, hard)
		}
		d.done(d.c.Visit(d.f, d.date(), at(to)), "visit", to)
		s.visit(d.n, to)
	case s.path == chart.Holding && len(s.flags) == 0 && s.at < hard && s.sure() && d.hit(0.1):
		to := s.at + 1 + d.IntN(hard-s.at)
		if s.limit < 0 && !(s.p.timetable && s.at >= s.p.top) && d.hit(0.5) && to > s.order {
			d.done(d.c.Order(d.f, d.date(), at(to)), "order", to)
			s.order, s.path = to, chart.Stepping
			break
		}
		d.done(d.c.Grant(d.f, d.date(), at(to), 0, "s1"), "grant", to)
		if s.grant, s.path = to, chart.Stepping; to > s.order {
			s.order = 0
		}
	case s.path == chart.Stepping && len(s.flags) == 0 && s.sure() && s.at > 1 && s.advised == s.at && d.hit(0.01):
		to := 1 + d.IntN(s.at-1)
		d.done(d.c.Order(d.f, d.date(), at(to)), "order", to)
		s.order, s.advised, s.grant = to, to, 0
	}
}

// tell gives one answer of tonight's entry to the table.
func (d *diary) tell(f chart.Field, v int) {
	d.c.Answer(d.f, d.date(), f, chart.Num(v), chart.FromPatient)
}

// weekly is what is asked once a week, before the advice.
func (d *diary) weekly() {
	if d.n%7 != 6 {
		return
	}
	driving, sleepy, pauses := chart.DrivingNo, 3+d.IntN(3), chart.No
	switch x := d.Float64() / max(d.habits.trouble, 0.0001); {
	case x < 0.15:
		driving = chart.DrivingNearly
		d.s.raise("nearly", 'N', false, false)
	case x < 0.3:
		driving = chart.DrivingYes
		d.s.raise("driving", 'S', false, false)
	case x < 0.5:
		sleepy = 8
		d.s.raise("sleepy", 'N', false, false)
	case x < 0.7:
		pauses = chart.Yes
		d.s.raise("pauses", 'N', false, false)
	}
	d.tell(chart.Driving, driving)
	d.tell(chart.Sleepiness, sleepy)
	d.tell(chart.Pauses, pauses)
}

// reply is the count that the patient says, mostly as told.
func (d *diary) reply(a sheetAdvice) {
	s := d.s
	if v, ok := s.move[d.n]; ok {
		s.n[d.n].told = v
	}
	s.mark(d.n)
	if a.action == chart.LeaveOut || d.hit(d.habits.silent) {
		return
	}
	at := a.to
	switch {
	case d.hit(d.habits.astray):
		at = pick(d.dice, a.to-1, a.to+1, s.at, a.to+2, s.advised)
	case a.action == chart.Stay && s.advised > s.at && d.hit(0.5):
		at = s.advised
	}
	d.log = append(d.log, fmt.Sprintf("%d: %v to %d, stands at %d", d.n, a.action, a.to, at))
	d.c.Confirm(d.f, d.date(), chart.Steps(at), chart.Steps(at))
	s.confirm(d.n, at)
}
