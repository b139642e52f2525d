package estimate

import (
	"math"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/relapse"

	"gonum.org/v1/gonum/stat/distuv"
)

// Evenings by the rule that won: the line has 36 of them, 8 steps.
func TestLost(t *testing.T) {
	r := line(8, 5, 2, 5.6)
	r.Nights[1].Rule, r.Nights[2].Rule = 14, 14
	r.Nights[3].Action = chart.NoAction
	l := r.Lost()
	if l.Evenings != 35 || l.Steps != 8 || l.By[14] != 2 || l.By[15] != 25 {
		t.Errorf("%+v", l)
	}
	l.Add(l)
	want := []Cause{{15, 50}, {14, 4}}
	if got := l.Causes(); l.Evenings != 70 || len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("%v of %d", got, l.Evenings)
	}
}

// Four nights a step are 3 or 4 steps in 14 evenings. By hand, from setting 8 on
// evening 36: 14 more steps to the ceiling at 22 at 3 steps in 14 evenings take
// 66; the earliest is the first tonight (four worn nights here, three are asked)
// and one every third night after it.
func TestDates(t *testing.T) {
	r := line(8, 5, 2, 5.6)
	ceiling, target := r.Dates()
	steps := 0
	for _, e := range r.Nights[len(r.Nights)-14:] {
		if e.Action == chart.Forward {
			steps++
		}
	}
	if steps != 3 || ceiling != (Due{To: 22, Likely: r.Tonight + (14*14+2)/3 - 1, Earliest: r.Tonight + 13*3}) {
		t.Errorf("%d steps: %+v from %d", steps, ceiling, r.Tonight)
	}
	if target.No != "" || target.To <= 8 || target.To > 22 || target.Likely > ceiling.Likely || target.Earliest > target.Likely {
		t.Errorf("%+v", target)
	}
	for name, x := range map[string]struct {
		do   func(*Record)
		want Withheld
	}{
		"holding": {func(r *Record) { r.State = chart.Holding }, NoPacing},
		"short":   {func(r *Record) { r.Nights = r.Nights[len(r.Nights)-13:] }, NoEvenings},
		"still": {func(r *Record) {
			for i := range r.Nights {
				r.Nights[i].Action = chart.Stay
			}
		}, NoSteps},
		"at the ceiling": {func(r *Record) { r.Plan.Limits.Ceiling = 8 }, NoRoom},
	} {
		r := line(8, 5, 2, 5.6)
		x.do(&r)
		if ceiling, target := r.Dates(); ceiling.No != x.want || target.No != x.want {
			t.Errorf("%s: %+v, %+v", name, ceiling, target)
		}
	}
	flat := line(8, 8, 2, 5.6)
	if ceiling, target := flat.Dates(); ceiling.No != "" || target.No != NoReach {
		t.Errorf("a flat course: %+v, %+v", ceiling, target)
	}
}

// hurt gives pain scores to every night, 0 but where named.
func hurt(r *Record, at map[int]int) {
	for i := range r.Nights {
		r.Nights[i].V[chart.Pain] = chart.Num(at[i])
	}
}

// Steps are at nights 4, 8, 12 and on, eight of them. Beta(1.2, 10.8) and two of
// eight is Beta(3.2, 16.8): mean 16 %.
func TestSoreness(t *testing.T) {
	r := line(8, 5, 2, 5.6)
	hurt(&r, map[int]int{4: 5, 14: 6, 19: 8}) // 19 is the fourth morning after the step of 16
	s := r.Soreness()
	post := distuv.Beta{Alpha: 3.2, Beta: 16.8}
	if s.Moves != 8 || s.Hurt != 2 || s.Next != 160 || s.Courses != 0 ||
		math.Abs(post.CDF(float64(s.Low)/1000)-.1) > .04 || math.Abs(post.CDF(float64(s.High)/1000)-.9) > .02 {
		t.Errorf("%+v", s)
	}
	r.Nights[5].V[chart.Pain] = chart.Unknown // a step that hurt is known, whatever is missing
	r.Nights[9].V[chart.Pain] = chart.Unknown // one that may have is not
	if s := r.Soreness(); s.Moves != 7 || s.Hurt != 2 {
		t.Errorf("%+v", s)
	}
	few := line(8, 7, .5, 5.6)
	hurt(&few, nil)
	if s := few.Soreness(); s.No != NoMoves || s.Moves != 2 {
		t.Errorf("%+v", s)
	}
	doubt := line(8, 5, 2, 5.6)
	hurt(&doubt, nil)
	unsure(doubt.Nights)
	if s := doubt.Soreness(); s.No != NoMoves {
		t.Errorf("a count in doubt: %+v", s)
	}
}

// Twenty courses make the prior: alike ones weigh most, unlike ones least.
func TestSorePrior(t *testing.T) {
	alike, unlike := make([]Ended, 20), make([]Ended, 20)
	for i := range alike {
		alike[i] = Ended{Moves: 10, Hurt: 2}
		unlike[i] = Ended{Moves: 10, Hurt: i % 2 * 4}
	}
	if a, b, n := sorePrior(alike[:19]); a != priorSore || b != priorEasy || n != 0 {
		t.Errorf("nineteen: %f, %f of %d", a, b, n)
	}
	a, b, n := sorePrior(alike)
	if n != 20 || math.Abs(a/(a+b)-.2) > .01 || a+b != weightTop {
		t.Errorf("alike: %f, %f of %d", a, b, n)
	}
	c, d, _ := sorePrior(unlike)
	if math.Abs(c/(c+d)-.2) > .01 || c+d >= a+b || c+d < weightLow {
		t.Errorf("unlike: %f, %f", c, d)
	}
}

func TestPace(t *testing.T) {
	r := line(8, 5, 2, 5.6) // 2.0 mm in 36 worn nights
	if p := r.Pace(); p.No != NoEnded {
		t.Errorf("%+v", p)
	}
	for i := range 20 {
		r.Ended = append(r.Ended, Ended{Forward: chart.Micrometres(100 * (11 + i)), Worn: 36})
	}
	// nine were slower, one as fast: 9.5 of 20, 47.5 % to the whole per cent
	if p := r.Pace(); p != (Pace{Night: 56, Percentile: 480, Courses: 20}) {
		t.Errorf("%+v", p)
	}
	for i := range r.Nights {
		r.Nights[i].V[chart.Worn] = chart.Num(chart.WornNo)
	}
	if p := r.Pace(); p.No != NoWorn {
		t.Errorf("%+v", p)
	}
}

func TestReadiness(t *testing.T) {
	r := line(8, 3, 2, 5.6)
	if y := r.Readiness(); y.No != NoHold {
		t.Errorf("%+v", y)
	}
	r.State = chart.Holding
	r.Nights[len(r.Nights)-1].V[chart.Worn] = chart.Num(chart.WornNo)
	y := r.Readiness()
	if y.Worn != 3 || y.Payer != (chart.Nights{Counted: 13, Answered: 14, Calendar: 14}) || y.Dental != (chart.Weeks{Met: 2}) ||
		y.Days != 36 || !y.Regular {
		t.Errorf("%+v", y)
	}
	for i := range r.Nights[:len(r.Nights)-9] { // nine of fourteen are 64 %, whatever the five that are not known
		r.Nights[i].V[chart.Worn] = chart.Unknown
	}
	if y := r.Readiness(); y.Regular || y.Payer.Answered != 9 {
		t.Errorf("%+v", y)
	}
}

// steady is a course proved at its last setting, at target, with weekly scores
// after the test.
func steady(weekly ...int) Record {
	at := make([]chart.Steps, 20)
	scores := make([]int, 20)
	for i := range scores {
		at[i], scores[i] = 8, 2
	}
	r := course(5.6, at, scores)
	r.State, r.TestAt, r.TestOn = chart.Steady, 8, r.Nights[19].Night
	for i, s := range weekly {
		e := r.Nights[19]
		e.Night += civil.Date(7 * (i + 1))
		e.V[chart.Snoring] = chart.Num(s)
		r.Nights = append(r.Nights, e)
	}
	r.Tonight = r.Nights[len(r.Nights)-1].Night + 1
	return r
}

// Mean 2 and an SD of 1.2: four scores of 5 add two each, and the third passes 5.
func TestRelapse(t *testing.T) {
	r := steady()
	if x := r.Relapse(); x.No != "" || x.Reports != 0 || x.Snoring.Mean() != 2000 || x.Snoring.SD() != 1200 || x.SleepyNo != NoRefer {
		t.Errorf("%+v", x)
	}
	for n, risen := range []bool{false, false, false, true} {
		r := steady([]int{5, 5, 5}[:n]...)
		x := r.Relapse()
		if x.Reports != n || x.Snoring.Sum != int32(2000*n) || x.Snoring.Risen() != risen {
			t.Errorf("%d weeks: %+v", n, x)
		}
	}
	r = steady(5, 5, 5)
	r.Nights = r.Nights[9:] // eleven of the reference left: the next scores complete it
	if x := r.Relapse(); x.No != "" || x.Reports != 2 || x.Snoring.Known() != relapse.Least {
		t.Errorf("%+v", x)
	}
	r.Nights = r.Nights[4:]
	if x := r.Relapse(); x.No != NoRefer {
		t.Errorf("%+v", x)
	}
	r.State = chart.Holding
	if x := r.Relapse(); x.No != NoProof {
		t.Errorf("%+v", x)
	}
	r = steady()
	for i := range r.Nights {
		r.Nights[i].V[chart.Sleepiness] = chart.Num(4)
		if i%7 < 4 {
			r.Nights[i].V[chart.Worn] = chart.Num(chart.WornNo)
		}
	}
	if x := r.Relapse(); x.SleepyNo != "" || x.Sleepy.Mean() != 4000 || !x.Slipping {
		t.Errorf("%+v", x)
	}
}

// What is said holds at least one line of each computation, and every refusal.
func TestLines(t *testing.T) {
	r := line(8, 5, 2, 5.6)
	hurt(&r, nil)
	keys := func(r Record) map[string]bool {
		out := map[string]bool{}
		for _, l := range r.Lines() {
			out[l.Key] = true
			if l.Key == "estimate.refused" {
				out[l.Args[1].S] = true
			}
		}
		return out
	}
	got := keys(r)
	for _, want := range []string{"estimate.level", "estimate.fall", "estimate.step", "estimate.reach", "estimate.none", "estimate.own",
		"estimate.published", "estimate.caution", "estimate.ceiling", "estimate.target", "estimate.lost", "estimate.cause",
		"estimate.sore", "estimate.assumed", string(NoHold), string(NoProof)} {
		if !got[want] {
			t.Errorf("%s is not said", want)
		}
	}
	if got["estimate.pace"] || got[string(NoEnded)] {
		t.Error("a pace among fewer than twenty courses is not silent")
	}
	for _, x := range []struct {
		rec  Record
		want []string
	}{
		{course(4.4, walk(1, 2), []int{0, 10, 9, 6, 4, 5, 6, 1, 7, 7}), []string{string(NoOwn), "estimate.published", "estimate.caution"}},
		{line(8, 8, 2, 5.6), []string{"estimate.unsure", string(NoReach)}},
		{steady(5, 5, 5), []string{"estimate.relapse", "estimate.risen", string(NoPacing), "estimate.caution"}},
	} {
		got := keys(x.rec)
		for _, want := range x.want {
			if !got[want] {
				t.Errorf("%s is not said: %v", want, got)
			}
		}
	}
	for state, want := range map[chart.State]string{chart.Stepping: "estimate.card.response", chart.Holding: "estimate.card.ready",
		chart.Steady: "estimate.refused"} {
		r.State = state
		if c := r.Card(); len(c) == 0 || c[0].Key != want || len(c) > 5 {
			t.Errorf("%s: %v", state, c)
		}
	}
}
