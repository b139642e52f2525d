package flows

import "testing"

// bench is one course driven night by night for the tests of the table.
type bench struct {
	t *testing.T
	f Facts
	c Course
	d Date // the evening that comes next
	a Advice
	r []Raised
}

const day0 = Date(20514) // 2 March 2026

// trial begins a course: step 0.25 mm, ceiling 10, travel 20, settle 3,
// interval 3, rest 3, target 3, a partner who reports.
func trial(t *testing.T, change ...func(*Plan, *Appliance, *Baseline)) *bench {
	p := Plan{Rev: 1, By: "s1", On: day0, Fitted: day0, Limits: Limits{Ceiling: 10, Settle: 3, Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}}
	a := Appliance{Step: 250, Travel: 20, Guide: true, GuideMin: 5}
	b := Baseline{Max: 8000, Zero: ZeroHabitual, Start: 4000, Pain: Num(0), Snoring: Num(8), Reporter: Num(ReporterPartner), Sleepy: Num(5), Headache: Num(No), Pauses: Num(No), Drives: Num(No)}
	for _, ch := range change {
		ch(&p, &a, &b)
	}
	k := &bench{t: t, d: day0, f: Facts{Plan: &p, Appliance: &a, Baseline: &b}}
	k.c.Begin(k.f, day0)
	return k
}

// told is a night's answers.
type told map[Field]int

// fine is a usual night that does not settle: worn, no pain, guide, bite, snoring 6.
func fine(more ...told) told {
	m := told{Worn: WornAll, Pain: 0, Guide: Yes, Bite: BiteBoth, BiteMinutes: 5, Snoring: 6, Reporter: ReporterPartner}
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
func (k *bench) evening() Advice {
	k.t.Helper()
	k.a, k.r = k.c.Advise(k.f, k.d)
	return k.a
}

// tell gives the answers of the night, asked the morning after, and moves on.
func (k *bench) tell(m told) []Raised {
	k.t.Helper()
	var out []Raised
	for f := NoField; f < NumFields; f++ {
		if n, ok := m[f]; ok {
			out = append(out, k.c.Answer(k.f, k.d, f, Num(n), FromPatient)...)
		}
	}
	k.d++
	return out
}

// night is one obedient night: the advice, confirmed, and the morning's answers.
func (k *bench) night(m told) Advice {
	k.t.Helper()
	a := k.evening()
	k.confirm(a.To)
	k.tell(m)
	return a
}

func (k *bench) confirm(at Steps) []Raised {
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
func (k *bench) want(do Action, to Steps, rule Rule) {
	k.t.Helper()
	if k.a.Action != do || k.a.To != to || k.a.Rule != rule {
		k.t.Fatalf("night %v: %v to %d by %s (%s, fired %b), want %v to %d by %s; state %v", k.a.Night, k.a.Action, k.a.To, k.a.Rule.ID(), k.a.Reason, k.a.Fired, do, to, rule.ID(), k.c.State)
	}
}

// next gives the evening's advice and checks it.
func (k *bench) next(do Action, to Steps, rule Rule) {
	k.t.Helper()
	k.evening()
	k.want(do, to, rule)
}

// forward goes on with fine nights until it was told to step to a setting.
func (k *bench) forward(to Steps) {
	k.t.Helper()
	for range 200 {
		if a := k.night(fine()); a.Action == Forward && a.To == to {
			return
		}
	}
	k.t.Fatalf("never reached %d; last %+v", to, k.a)
}

// hears tells whether the desk heard of a rule or flag with the last advice.
func hears(rs []Raised, id string) (Raised, bool) {
	for _, r := range rs {
		if r.ID == id {
			return r, true
		}
	}
	return Raised{}, false
}

func (k *bench) desk(id string) Raised {
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
