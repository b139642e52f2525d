package pacing

import (
	"flag"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

var courses = flag.Int("courses", 1500, "random courses a property is held to")

// dice is a random course's source; its seed names the course when it fails.
type dice struct {
	*testing.T
	*rand.Rand
	seed uint64
}

func (t dice) Fatalf(format string, args ...any) {
	t.Helper()
	t.T.Fatalf("course %d: "+format, append([]any{t.seed}, args...)...)
}

// each runs a property on random courses.
func each(t *testing.T, property func(dice)) {
	for seed := range uint64(*courses) {
		property(dice{t, rand.New(rand.NewPCG(seed, 1)), seed})
	}
}

// pick draws one of the given numbers; gone is "no answer".
func pick(t dice, of ...int) int { return of[t.IntN(len(of))] }

// anyNight draws a night's answers: mostly easy, so that courses get far.
func anyNight(t dice) told {
	m := told{}
	put := func(f chart.Field, n int) {
		if n != gone {
			m[f] = n
		}
	}
	easy := (0 + t.IntN(3-(0)+1)) > 0
	if easy {
		put(chart.Worn, chart.WornAll)
		put(chart.Pain, 0)
		put(chart.Guide, chart.Yes)
		put(chart.BiteMinutes, 5)
		put(chart.Snoring, pick(t, 2, 4, 6, 8, 9))
		put(chart.Reporter, chart.ReporterPartner)
		return m
	}
	put(chart.Worn, pick(t, chart.WornAll, chart.WornAll, chart.WornAll, chart.WornPart, chart.WornNo, gone))
	put(chart.WornMinutes, pick(t, gone, gone, 100, 300))
	put(chart.NotWorn, pick(t, gone, gone, gone, chart.ReasonForgot, chart.ReasonPain, chart.ReasonBroken))
	put(chart.Pain, pick(t, 0, 0, 0, 1, 4, 5, 7, 8, 10, gone))
	put(chart.Gone, pick(t, gone, chart.GoneMorning, chart.GoneMidday, chart.GoneAfternoon, chart.GoneNo))
	put(chart.Woken, pick(t, gone, gone, chart.No, chart.No, chart.Yes))
	put(chart.Guide, pick(t, chart.Yes, chart.Yes, chart.No, gone))
	put(chart.BiteMinutes, pick(t, 0, 10, 45, 50, 61, 300, chart.BiteNot, gone))
	put(chart.Snoring, pick(t, 0, 3, 5, 7, 10, gone))
	put(chart.Reporter, pick(t, chart.ReporterPartner, chart.ReporterPartner, chart.ReporterSelf, gone))
	put(chart.Sleepiness, pick(t, gone, gone, gone, 4, 7))
	put(chart.Driving, pick(t, gone, gone, gone, gone, chart.DrivingNo, chart.DrivingNearly))
	return m
}

// anyCourse draws a plan.
func anyCourse(t dice) *bench {
	p := chart.Plan{Rev: 1, Fitted: day0, Limits: chart.Limits{
		Ceiling: chart.Steps(pick(t, 2, 6, 12)), Settle: int16(pick(t, 1, 3, 7)), Interval: int16(pick(t, 2, 3, 7)),
		RestMornings: int16(pick(t, 2, 3)), Target: 3, Loud: 7, WornMinutes: 240, Pace: chart.Micrometres(pick(t, 500, 1000)),
		ContactDays: 90,
		Timetable:   (t.IntN(2) == 1), TimetableTop: 2, ReleaseByHand: pick(t, 0, 0, 1) == 1}}
	a := chart.Appliance{Step: chart.Micrometres(pick(t, 100, 250, 500, 1000)), Travel: chart.Steps(pick(t, 3, 20)),
		Guide: (t.IntN(2) == 1), TwoSided: (t.IntN(2) == 1)}
	if a.TwoSided {
		a.Offset = chart.Steps(pick(t, -1, 0, 2))
	}
	b := chart.Baseline{Max: 9000, Zero: chart.ZeroHabitual, Start: 3000, Pain: chart.Num(pick(t, 0, 0, 2, 6)),
		Reporter: chart.Num(chart.ReporterPartner), Sleepy: chart.Num(4), Drives: chart.Num(pick(t, chart.No, chart.Yes))}
	k := &bench{d: day0, f: Facts{Plan: &p, Appliance: &a, Baseline: &b}}
	k.c.Begin(k.f, day0)
	return k
}

// reply draws how the patient answers the advice of the night.
func (k *bench) reply(t dice, a chart.Advice) {
	switch pick(t, 0, 0, 0, 0, 0, 0, 1, 2, 3, 4) {
	case 0:
		k.confirm(a.To)
	case 1: // silence
	case 2:
		k.confirm(k.c.Left)
	case 3:
		n := chart.Steps(pick(t, -1, 0, 1, 2, 3, 5, 9, 14))
		k.c.Confirm(k.f, k.d, n, n+chart.Steps(pick(t, 0, 0, 1)))
	case 4:
		k.c.LoseCount()
	}
}

// staff draws what the desk does before an evening, and reports whether anything was
// done, or said to it.
func (k *bench) staff(t dice) bool {
	before := k.c.twin()
	k.anyAct(t)
	return !reflect.DeepEqual(before, k.c)
}

func (k *bench) anyAct(t dice) {
	to := chart.Steps((-1 + t.IntN(14-(-1)+1)))
	switch pick(t, 0, 0, 0, 0, 0, 0, 0, 0, 1, 2, 2, 2, 3, 4, 5, 6, 7, 8, 9, 10) {
	case 1:
		k.c.Visit(k.f, k.d, to)
	case 2:
		if k.c.Release(k.f, k.d, "", to) != Done {
			k.c.ReleaseHere(k.f, k.d, "")
		}
	case 3:
		k.c.Grant(k.f, k.d, to, 0, "s1")
	case 4:
		k.c.Order(k.f, k.d, to)
	case 5:
		k.c.Step(k.f, k.d)
	case 6:
		k.c.Pause()
	case 7:
		k.c.Resume()
	case 8:
		k.c.Tested(k.d, k.c.Left)
	case 9:
		k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.Features(t.Uint64()&t.Uint64()&t.Uint64()&t.Uint64()), "x")
	case 10:
		if k.f.Plan == nil {
			return
		}
		p := *k.f.Plan
		p.Rev++
		p.Limits.Ceiling = chart.Steps(pick(t, 2, 6, 12))
		k.f.Plan = &p
		k.c.Renew(k.f, k.d)
	}
}

func (c *Course) twin() Course {
	d := *c
	d.Flags = slices.Clone(c.Flags)
	return d
}

// moreForward reports whether b asks for less caution than a.
func moreForward(b, a chart.Advice) bool {
	if b.Action != a.Action {
		return b.Action > a.Action
	}
	return b.Action == chart.GoBack && b.To > a.To || b.Action == chart.Forward && b.To > a.To
}

// tell0 tells the night's answers, and reports whether they went to a person.
func (k *bench) tell0(m told) (raised bool) {
	for f := chart.NoField; f < chart.NumFields; f++ {
		if n, ok := m[f]; ok {
			raised = len(k.c.Answer(k.f, k.d, f, chart.Num(n), chart.FromPatient)) > 0 || raised
		}
	}
	k.d++
	return raised
}

// run draws a course up to some evening: the advice of that evening is next.
func (k *bench) run(t dice) {
	for range 1 + t.IntN(45-(1)+1) {
		k.staff(t)
		k.reply(t, k.evening0())
		k.tell0(anyNight(t))
	}
}

func (k *bench) evening0() chart.Advice {
	k.a, k.r = k.c.Advise(k.f, k.d)
	return k.a
}
