package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/redflag"
)

// bench is one course driven night by night for the tests of the table.
type bench struct {
	t *testing.T
	f Facts
	c Course
	d civil.Date // the evening that comes next
	a chart.Advice
	r []redflag.Raised
}

const day0 = civil.Date(20514) // 2 March 2026

// trial begins a course: step 0.25 mm, ceiling 10, travel 20, settle 3,
// interval 3, rest 3, target 3, a partner who reports.
func trial(t *testing.T, change ...func(*chart.Plan, *chart.Appliance, *chart.Baseline)) *bench {
	p := chart.Plan{Rev: 1, By: "s1", On: day0, Fitted: day0, Limits: chart.Limits{Ceiling: 10, Settle: 3, Interval: 3,
		RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}}
	a := chart.Appliance{Step: 250, Travel: 20, Guide: true, GuideMin: 5}
	b := chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual, Start: 4000, Pain: chart.Num(0), Snoring: chart.Num(8),
		Reporter: chart.Num(chart.ReporterPartner), Sleepy: chart.Num(5), Headache: chart.Num(chart.No),
		Pauses: chart.Num(chart.No), Drives: chart.Num(chart.No)}
	for _, ch := range change {
		ch(&p, &a, &b)
	}
	k := &bench{t: t, d: day0, f: Facts{Plan: &p, Appliance: &a, Baseline: &b}}
	k.c.Begin(k.f, day0)
	return k
}

// told is a night's answers.
type told map[chart.Field]int

// fine is a usual night that does not settle: worn, no pain, nobody woken, guide,
// bite, snoring 6.
func fine(more ...told) told {
	m := told{chart.Worn: chart.WornAll, chart.Pain: 0, chart.Woken: chart.No, chart.Guide: chart.Yes, chart.Bite: chart.BiteBoth,
		chart.BiteMinutes: 5, chart.Snoring: 6, chart.Reporter: chart.ReporterPartner}
	for _, x := range more {
		for f, n := range x {
			if n == gone {
				delete(m, f)
			} else {
				m[f] = n
			}
		}
	}
	return m
}

// gone takes an answer out of fine.
const gone = -1000

// evening gives the night's advice.
func (k *bench) evening() chart.Advice {
	k.t.Helper()
	k.a, k.r = k.c.Advise(k.f, k.d)
	return k.a
}

// tell gives the answers of the night, asked the morning after, and moves on.
func (k *bench) tell(m told) []redflag.Raised {
	k.t.Helper()
	var out []redflag.Raised
	for f := chart.NoField; f < chart.NumFields; f++ {
		if n, ok := m[f]; ok {
			out = append(out, k.c.Answer(k.f, k.d, f, chart.Num(n), chart.FromPatient)...)
		}
	}
	k.d++
	return out
}

// night is one obedient night: the advice, confirmed, and the morning's answers.
func (k *bench) night(m told) chart.Advice {
	k.t.Helper()
	a := k.evening()
	k.confirm(a.To)
	k.tell(m)
	return a
}

func (k *bench) confirm(at chart.Steps) []redflag.Raised {
	return k.c.Confirm(k.f, k.d, at, at+k.f.offset())
}

// nights are n of the same.
func (k *bench) nights(n int, m told) {
	k.t.Helper()
	for range n {
		k.night(m)
	}
}

// want checks the last advice.
func (k *bench) want(do chart.Action, to chart.Steps, rule chart.Rule) {
	k.t.Helper()
	if k.a.Action != do || k.a.To != to || k.a.Rule != rule {
		k.t.Fatalf("night %v: %v to %d by %s (%s, fired %b), want %v to %d by %s; state %v", k.a.Night, k.a.Action, k.a.To,
			k.a.Rule.ID(), k.a.Reason, k.a.Fired, do, to, rule.ID(), k.c.State)
	}
}

// next gives the evening's advice and checks it.
func (k *bench) next(do chart.Action, to chart.Steps, rule chart.Rule) {
	k.t.Helper()
	k.evening()
	k.want(do, to, rule)
}

// forward goes on with fine nights until it was told to step to a setting.
func (k *bench) forward(to chart.Steps) {
	k.t.Helper()
	for range 200 {
		if a := k.night(fine()); a.Action == chart.Forward && a.To == to {
			return
		}
	}
	k.t.Fatalf("never reached %d; last %+v", to, k.a)
}

// hears reports whether the desk heard of a rule or flag with the last advice.
func hears(rs []redflag.Raised, id string) (redflag.Raised, bool) {
	for _, r := range rs {
		if r.ID == id {
			return r, true
		}
	}
	return redflag.Raised{}, false
}

func (k *bench) desk(id string) redflag.Raised {
	k.t.Helper()
	r, ok := hears(k.r, id)
	if !ok {
		k.t.Fatalf("night %v: nobody heard of %s: %v", k.d, id, k.r)
	}
	return r
}

func (k *bench) silent(id string) {
	k.t.Helper()
	if _, ok := hears(k.r, id); ok {
		k.t.Fatalf("night %v: %s told again: %v", k.d, id, k.r)
	}
}
