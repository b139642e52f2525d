package cohort

import (
	"flag"
	"reflect"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

var adversarial = flag.Int("adversarial", 120, "virtual patients of the adversarial run, 120 nights each")

// The usual cohort keeps every promise, and each course ends at a place with a name.
func TestUsualCohort(t *testing.T) {
	tr := &Trial{Plan: Usual(), Nights: 60, Seed: 1}
	pl := tr.Player()
	const n = 250
	for i := range n {
		if o := pl.Live(i); o.First != "" {
			t.Errorf("patient %d: %s", i, o.First)
		}
	}
	a, ends := &pl.Tally, 0
	for e := range NumEnds {
		ends += a.Ends[e]
	}
	if a.Patients != n || ends != n || a.Nights > n*60 || a.Nights < n*50 {
		t.Errorf("%d patients, %d ends, %d nights", a.Patients, ends, a.Nights)
	}
	if a.Share(AtTarget) < 0.4 || a.Share(AtTarget) > 0.85 || a.Forward == 0 || a.BackOffs == 0 || a.Rests == 0 ||
		a.Escalations == 0 {
		t.Errorf("nothing happens: %+v", a)
	}
	if night, ok := a.Median(); !ok || night < 5 || night > 30 {
		t.Errorf("median %d, %t", night, ok)
	}
}

// Everything that a patient is asked is answered in some course, staff do what they
// are asked to, and each of both reaches a card or the diary.
func TestEverythingIsPlayed(t *testing.T) {
	plan := Usual()
	plan.Baseline.Start, plan.Plan.Limits.Ceiling = 2200, 15
	tr := &Trial{Plan: plan, Nights: 120, Seed: 2, Dire: 0.002}
	pl := tr.Player()
	answered, acts := map[[2]int]int{}, map[string]int{}
	for n := range 400 {
		pl.Live(n)
		c := &pl.p.Course
		for i := range c.Nights[:c.N] {
			for f := chart.NoField + 1; f < chart.NumFields; f++ {
				if v := c.Nights[i].At(f); v.Known() {
					answered[[2]int{int(f), v.N()}]++
				}
			}
		}
		if c.GrantBy != "" {
			acts["grant"]++
		}
		if c.OrderTo > 0 {
			acts["order"]++
		}
	}
	for _, f := range []chart.Field{chart.Unusual, chart.Headache, chart.HeadacheDays, chart.Pauses} {
		r := f.Row()
		for n := r.Least; n <= r.Most; n++ {
			if answered[[2]int{int(f), n}] == 0 {
				t.Errorf("%s %d: nobody", r.Name, n)
			}
		}
	}
	for _, site := range []int{chart.SiteMuscle, chart.SiteJoint, chart.SiteTooth} {
		if answered[[2]int{int(chart.Where), site}] == 0 {
			t.Errorf("it hurts nobody at %d", site)
		}
	}
	if answered[[2]int{int(chart.Reporter), chart.ReporterNobody}] == 0 || acts["grant"] == 0 || acts["order"] == 0 {
		t.Errorf("absent partners %d, %v", answered[[2]int{int(chart.Reporter), chart.ReporterNobody}], acts)
	}
	a := &pl.Tally
	for _, reason := range []string{"headache.morning", "pauses", "new.dental", "new.tablets", "new.weight", pacing.P16.ID(), pacing.P17.ID()} {
		if a.Cards[reason] == 0 {
			t.Errorf("%s: no card", reason)
		}
	}
	urgent := 0 // of the emergencies that can be said
	for _, reason := range []string{"breath", "chest", "faint", "piece.airway", "choking", "swelling.airway", "bleeding.heavy", "stroke",
		"crisis", "seizure", "child.part"} {
		if a.Cards[reason] > 0 {
			urgent++
		}
	}
	if a.Flags[0] == 0 || urgent < 9 {
		t.Errorf("%d emergencies, of %d kinds: %v", a.Flags[0], urgent, a.Cards)
	}
	if a.Needless == 0 || a.Quiet == 0 || a.Quiet > a.Ends[AtTarget] || a.Stopped[hardly] == 0 ||
		a.Stopped[responds]*a.Ways[hardly] >= a.Stopped[hardly]*a.Ways[responds] {
		t.Errorf("needless %d, quiet %d, told %v of %v", a.Needless, a.Quiet, a.Stopped, a.Ways)
	}
}

// What the practice hears is of the size that the hazard log states: 14.4 cards per 100
// patients and day over 90 nights of the usual plan, 0.05 of them for headaches, flags of
// class N 0.75 and S 0.24, E 0.001 by an assumed rate.
func TestAlarmRate(t *testing.T) {
	pl := (&Trial{Plan: Usual(), Nights: 90, Seed: 1}).Player()
	for n := range 200 {
		pl.Live(n)
	}
	a := &pl.Tally
	rate := func(n int) float64 { return 100 * float64(n) / float64(a.Nights) }
	cards, head := rate(a.Escalations), rate(a.Cards["headache.morning"]+a.Cards["headache.weeks"])
	t.Logf("%.2f cards, %.3f for headaches, N %.2f, S %.2f", cards, head, rate(a.Flags[2]), rate(a.Flags[1]))
	if cards < 11 || cards > 18 || head <= 0 || head > 0.15 || rate(a.Flags[2]) < 0.4 || rate(a.Flags[2]) > 1.1 || rate(a.Flags[1]) > 0.4 {
		t.Errorf("%.2f cards, %.3f for headaches, N %.2f, S %.2f", cards, head, rate(a.Flags[2]), rate(a.Flags[1]))
	}
}

// A partner who is there on fewer nights of a week costs nights and steps, and stops nobody
// for good: of people who start at 25 % of their range most still come to the target, later
// the rarer the partner, and no more than one in seven is told that steps may not help.
func TestPartnersNights(t *testing.T) {
	e := Usual()
	e.Baseline.Start, e.Plan.Limits.Ceiling = 2200, 15 // 25 to about 70 % of 8.8 mm
	const people = 120
	settled, median := people+1, 0
	for _, nights := range []int{7, 5, 3, 2} {
		pl := (&Trial{Plan: e, Nights: 180, Seed: 4, Partner: nights}).Player()
		for n := range people {
			pl.Live(n)
		}
		a, told := &pl.Tally, 0
		for _, n := range a.Stopped {
			told += n
		}
		m, _ := a.Median()
		t.Logf("%d nights: %d of %d at target, median night %d, %d told, %.2f back-offs each", nights, a.Settled(), people, m, told, float64(a.BackOffs)/people)
		if a.Settled() >= settled || a.Settled() < people/2 || m <= median || told*7 > people {
			t.Errorf("%d nights: %d at target after %d, median %d after %d, %d told", nights, a.Settled(), settled, m, median, told)
		}
		settled, median = a.Settled(), m
	}
}

// What P17 tells, by where the plan starts and the share of the first reports that it asks
// for: the further back the start, the more are told, the fewer the wider the share, and
// who would settle less often than who responds in part. From half of the range on nobody
// is: too little way is left for 3 mm.
func TestToldByStartAndShare(t *testing.T) {
	live := func(start chart.Micrometres, share int) (told int, a *Tally) {
		e := Usual()
		e.Baseline.Start, e.Plan.Limits.Ceiling, e.Plan.Limits.GainShare = start, chart.Steps((6160-start)/250), chart.Num(share)
		pl := (&Trial{Plan: e, Nights: 150, Seed: 2}).Player()
		for n := range 150 {
			pl.Live(n)
		}
		a = &pl.Tally
		for way, n := range a.Stopped {
			if told += n; n > a.Ways[way] {
				t.Errorf("%d of %d", n, a.Ways[way])
			}
		}
		t.Logf("start %.2f mm, %d %%: told %v of %v", float64(start)/1000, share, a.Stopped, a.Ways)
		return told, a
	}
	narrow, a := live(0, 70)
	if usual, _ := live(0, 80); usual >= narrow || usual == 0 {
		t.Errorf("70 %%: %d told, 80 %%: %d", narrow, usual)
	} else if wide, _ := live(0, 90); wide > usual {
		t.Errorf("80 %%: %d told, 90 %%: %d", usual, wide)
	}
	if a.Stopped[responds]*a.Ways[partly] >= a.Stopped[partly]*a.Ways[responds] || a.Cards[pacing.P17.ID()] < narrow {
		t.Errorf("told %v of %v, %d cards", a.Stopped, a.Ways, a.Cards[pacing.P17.ID()])
	}
	if quarter, _ := live(2200, 70); quarter >= narrow || quarter == 0 {
		t.Errorf("from the habitual bite %d told, from a quarter %d", narrow, quarter)
	}
	if half, _ := live(4400, 70); half != 0 {
		t.Errorf("from half of the range %d told", half)
	}
}

// The same seed gives the same result, whoever plays whom and in what order;
// another seed does not.
func TestSeed(t *testing.T) {
	for _, adverse := range []bool{false, true} {
		tr := &Trial{Plan: Usual(), Nights: 25, Seed: 5, Adverse: adverse}
		const n = 24
		one := tr.Player()
		for i := range n {
			one.Live(i)
		}
		three := []*Player{tr.Player(), tr.Player(), tr.Player()}
		for i := n - 1; i >= 0; i-- {
			three[i%3].Live(i)
		}
		var sum Tally
		for _, pl := range three {
			sum.Merge(&pl.Tally)
		}
		if !reflect.DeepEqual(sum, one.Tally) {
			t.Errorf("adverse %t: three players give\n%+v\none\n%+v", adverse, sum, one.Tally)
		}
		other := (&Trial{Plan: Usual(), Nights: 25, Seed: 6, Adverse: adverse}).Player()
		for i := range n {
			other.Live(i)
		}
		if reflect.DeepEqual(other.Tally, one.Tally) {
			t.Errorf("adverse %t: seeds 5 and 6 give the same", adverse)
		}
	}
}

// A slower pace costs nights and saves sore mornings: rising with pace, easing
// with rest, doi 10.15331/jdsm.6746.
func TestSlowerPace(t *testing.T) {
	live := func(step chart.Micrometres, interval int16) *Tally {
		e := Usual()
		e.Baseline.Start, e.Plan.Limits.Ceiling = 2640, chart.Steps(3520/step) // from 30 to 70 %: a long way
		e.Appliance.Step, e.Plan.Limits.Interval = step, interval
		pl := (&Trial{Plan: e, Nights: 60, Seed: 2}).Player()
		for n := range 150 {
			pl.Live(n)
		}
		return &pl.Tally
	}
	fast, slow := live(250, 2), live(250, 7)
	settled := func(a *Tally) (n int) { // by then; a median of those who got there leaves out the slow ones
		for _, x := range a.Reached[:min(46, len(a.Reached))] {
			n += x
		}
		return n
	}
	f, s := settled(fast), settled(slow)
	sore := func(a *Tally) (n int) { // over the weeks of stepping
		for _, d := range a.Days[:30] {
			n += d.Sore
		}
		return n
	}
	if s >= f || sore(slow) >= sore(fast) {
		t.Errorf("every 7 nights: %d settled in 45, %d sore mornings; every 2: %d and %d", s, sore(slow), f, sore(fast))
	}
}

// Adversarial answers and orders break no promise. The full run is
// `simulate -adversarial -patients 100000 -nights 120`, or this with -adversarial.
func TestAdversarial(t *testing.T) {
	plans := []chart.Enrolment{Usual(), Usual(), Usual()}
	plans[1].Appliance.TwoSided, plans[1].Appliance.Offset, plans[1].Appliance.LipSeal = true, 1, true
	plans[2].Plan.Limits.Timetable, plans[2].Plan.Limits.TimetableTop, plans[2].Plan.Limits.Interval = true, 4, 2
	var sum Tally
	for i, plan := range plans {
		pl := (&Trial{Plan: plan, Nights: 120, Seed: uint64(i), Adverse: true}).Player()
		for n := range *adversarial / len(plans) {
			if o := pl.Live(n); o.First != "" {
				t.Errorf("plan %d, patient %d: %s", i, n, o.First)
			}
		}
		sum.Merge(&pl.Tally)
	}
	if sum.Forward < sum.Patients || sum.Twins < sum.Patients || sum.Flags[0] == 0 || sum.Ends[NotEnrolled] > 0 {
		t.Errorf("courses do not get far: %+v", sum)
	}
	// A late correction of a night without a word since once hid a move from the pace.
	if o := (&Trial{Plan: Usual(), Nights: 60, Seed: 7, Adverse: true}).Player().Live(1404); o.First != "" {
		t.Error(o.First)
	}
}

// The watch sees each promise being broken.
func TestWatch(t *testing.T) {
	night := monday + 10
	for _, x := range []struct {
		broken Promise
		change func(*Player)
	}{
		{PromiseLimits, func(pl *Player) { pl.p.Course.Advice.To, pl.p.Course.Advice.Action = 99, chart.Stay }},
		{PromiseOneStep, func(pl *Player) { pl.p.Course.Advice.To = 5; pl.p.Course.High = 5 }},
		{PromisePace, func(pl *Player) { pl.p.Course.Nights[4].V[chart.SettingLeft] = chart.Num(-4) }},
		{PromiseKnown, func(pl *Player) { pl.p.Course.Nights[9].V[chart.Pain] = chart.Unknown }},
		{PromiseKnown, func(pl *Player) { pl.watch.said = night - 1 }},
		{PromiseFlag, func(pl *Player) { pl.p.Course.Flags = []redflag.Flag{{ID: "x", Class: redflag.ClassN}} }},
		{PromiseReplace, func(pl *Player) { pl.watch.was = chart.Advice{Night: night, Action: chart.Stay} }},
		{PromiseGuard, func(pl *Player) { pl.p.Course.Breaches = 1 }},
		{PromiseByItself, func(pl *Player) { pl.watch.left = 0 }},
		{PromisePerson, func(pl *Player) { pl.watch.stays = quietMost; pl.p.Course.Advice.Action = chart.Stay }},
		{PromiseWayOut, func(pl *Player) { pl.p.Course.State = 99; pl.finish() }},
		{NumPromises, func(*Player) {}},
	} {
		pl := (&Trial{Plan: Usual()}).Player()
		pl.night, pl.p.Plan, pl.p.Appliance = night, Usual().Plan, Usual().Appliance
		c := &pl.p.Course
		for i := range 11 {
			c.Nights[i].Night = monday + civil.Date(i)
			c.Nights[i].V[chart.SettingLeft], c.Nights[i].V[chart.Worn], c.Nights[i].V[chart.Pain] = chart.Num(1),
				chart.Num(chart.WornAll), chart.Num(0)
		}
		c.N, c.State, c.Left, c.Low, c.High = 11, chart.Stepping, 1, 1, 2
		c.Advice, c.Advices = chart.Advice{Night: night, Action: chart.Forward, To: 2, Rule: 18}, 1
		pl.watch.before(pl)
		pl.watch.count, pl.watch.was, pl.watch.said = 0, chart.Advice{}, night
		x.change(pl)
		var e flows.Event
		if e.Body = flows.Body(flows.Due{Name: "evening"}); x.broken == PromiseByItself {
			pl.p.Course.Left = 1
		}
		pl.watch.after(pl, &e, &flows.Out{})
		for p := range NumPromises {
			if got := pl.out.Breaches[p] > 0; got != (p == x.broken) {
				t.Errorf("%s broken: %s seen %t (%s)", x.broken.name(), p, got, pl.out.First)
			}
		}
	}
	pl := (&Trial{Plan: Usual()}).Player()
	pl.watch.after(pl, &flows.Event{Body: flows.Said{Chat: chat}}, &flows.Out{})
	if pl.out.Breaches[PromiseAnswer] == 0 {
		t.Error("a message without an answer was not seen")
	}
}

func (p Promise) name() string {
	if p == NumPromises {
		return "nothing"
	}
	return p.String()
}

// Every parameter says where it is from.
func TestParameters(t *testing.T) {
	for _, p := range Parameters() {
		if p.Name == "" || p.Value == "" || p.Source == "" {
			t.Errorf("%+v", p)
		}
	}
	for e := range NumEnds {
		if e.String() == "" {
			t.Errorf("end %d has no name", e)
		}
	}
}

// A way back that is told again the next evening, since nobody has gone it, is one.
func TestOneWayBackIsOne(t *testing.T) {
	for to, want := range map[chart.Steps]int{2: 0, 1: 1} {
		pl := &Player{}
		pl.p.Plan, pl.p.Appliance = chart.Plan{Limits: chart.Limits{Ceiling: 9}}, chart.Appliance{Step: 250, Travel: 9}
		pl.p.Course.Advice = chart.Advice{Night: 2, Action: chart.GoBack, From: 3, To: to}
		w := watch{was: chart.Advice{Night: 1, Action: chart.GoBack, From: 3, To: 2}}
		if w.advice(pl); pl.out.BackOffs != want {
			t.Errorf("to %d after to 2: %d ways back", to, pl.out.BackOffs)
		}
	}
}
