package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/relapse"

	"gonum.org/v1/gonum/stat"
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

// proved is a course of nights scored by a partner, at whose end the position is proved,
// and then so many weeks with a score each.
func proved(scores []int, weekly ...int) *Record {
	r := course(5.6, nil, nil)
	f := pacing.Facts{Plan: r.Plan, Appliance: r.Appliance, Baseline: r.Baseline}
	var c pacing.Course
	c.Begin(f, day)
	night := day
	told := func(score int) {
		c.Reach(&f, night)
		c.Answer(f, night, chart.Worn, chart.Num(chart.WornAll), chart.FromPatient)
		if score >= 0 {
			c.Answer(f, night, chart.Reporter, chart.Num(chart.ReporterPartner), chart.FromPatient)
			c.Answer(f, night, chart.Snoring, chart.Num(score), chart.FromPatient)
			c.Answer(f, night, chart.Sleepiness, chart.Num(4), chart.FromPatient)
		}
		night++
	}
	for _, s := range scores {
		told(s)
	}
	c.Tested(night-1, 0)
	c.Steady(night - 1)
	for _, s := range weekly {
		for range 6 {
			told(-1)
		}
		told(s)
	}
	out := Of(&c, f, nil, night)
	return &out
}

var twos = []int{2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}

// Mean 2 and an SD of 1.2: scores of 5 add two each, and the third passes 5. Eleven
// scores are no reference, and the next completes it.
func TestRelapse(t *testing.T) {
	if x := proved(twos).Relapse(); x.No != "" || x.Snoring.Since != 0 || x.Snoring.Mean() != 2000 || x.Snoring.SD() != 1200 ||
		x.SleepyNo != "" || x.Sleepy.Mean() != 4000 || x.Slipping {
		t.Errorf("%+v", x)
	}
	for n, risen := range []bool{false, false, false, true} {
		r := proved(twos, []int{5, 5, 5}[:n]...)
		x := r.Relapse()
		if int(x.Snoring.Since) != n || x.Snoring.Sum != int32(2000*n) || x.Snoring.Risen() != risen {
			t.Errorf("%d weeks: %+v", n, x)
		}
	}
	r := proved(twos[:11], 5, 5, 5)
	if x := r.Relapse(); x.No != "" || x.Snoring.Since != 2 || x.Snoring.Known() != relapse.Least {
		t.Errorf("%+v", x)
	}
	r = proved(twos[:11])
	if x := r.Relapse(); x.No != NoRefer || x.SleepyNo != NoRefer {
		t.Errorf("%+v", x)
	}
	r.State = chart.Holding
	if x := r.Relapse(); x.No != NoProof {
		t.Errorf("%+v", x)
	}
	r = proved(twos)
	r.Slipping = true
	if x := r.Relapse(); !x.Slipping {
		t.Errorf("%+v", x)
	}
}

// On random courses the chart that is shown is the one that P03 goes by, whose evening of
// rising is its first past the limit; the scores of the diary replay to it; and it is what
// Page's sums give, reckoned here in decimals: reference of the newest 16 scores up to the
// test (more until there are 12), an SD of the mean moving range over 1.128 and at least
// 1.2, and max(0, c + (y - m)/s - 0.5) (doi 10.1093/intqhc/mzm015).
func TestRelapseOfRandomCourses(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	charts, rose := 0, 0
	for range 300 {
		r := course(5.6, nil, nil)
		f := pacing.Facts{Plan: r.Plan, Appliance: r.Appliance, Baseline: r.Baseline}
		var c pacing.Course
		c.Begin(f, day)
		before, level := 8+rng.IntN(19), 1+rng.IntN(4)
		var book Book
		var refer []float64
		var sum, mean, sd float64
		since := 0
		for d := range civil.Date(before + 30 + rng.IntN(90)) {
			night := day + d
			proven := d >= civil.Date(before)
			c.Advise(f, night)
			if got, _ := c.Charts(f, night); proven && (math.Abs(float64(got.Sum)/1000-sum) > .05 || int(got.Since) != since) ||
				c.Rose == night && sum <= 4.95 {
				t.Fatalf("night %d: chart %+v, by hand %.3f of %d; rose %v", d, got, sum, since, c.Rose)
			}
			if c.Rose == night {
				rose++
			}
			worn, heard := rng.IntN(10) > 0, rng.IntN(3) > 0
			score := min(max(level+rng.IntN(3)-1+int(d)/90*rng.IntN(4), 0), 10)
			c.Confirm(f, night, 0, 0)
			c.Answer(f, night, chart.Worn, chart.Num(map[bool]int{true: chart.WornAll, false: chart.WornNo}[worn]), chart.FromPatient)
			if heard {
				c.Answer(f, night, chart.Reporter, chart.Num(chart.ReporterPartner), chart.FromPatient)
				c.Answer(f, night, chart.Snoring, chart.Num(score), chart.FromPatient)
			}
			switch book.Read(&c); {
			case !worn || !heard:
			case !proven || len(refer) < relapse.Least:
				if refer = append(refer, float64(score)); len(refer) > relapse.Most {
					refer = refer[1:]
				}
				mean, sd = stat.Mean(refer, nil), 0
				for i := 1; i < len(refer); i++ {
					sd += math.Abs(refer[i]-refer[i-1]) / float64(len(refer)-1) / 1.128
				}
				sd = max(sd, 1.2)
			default:
				since++
				sum = max(0, sum+(float64(score)-mean)/sd-.5)
			}
			if d == civil.Date(before-1) {
				c.Tested(night, 0)
				c.Steady(night)
			}
		}
		rec := Of(&c, f, book, Tonight(&c))
		x := rec.Relapse()
		var drawn relapse.Chart
		for _, report := range rec.Reports() {
			if report.Refer {
				drawn.Refer(report.Score)
			} else {
				drawn.Add(report.Score)
			}
		}
		if drawn != x.Snoring {
			t.Fatalf("drawn %+v, shown %+v", drawn, x.Snoring)
		}
		if x.No == "" {
			charts++
		}
	}
	if charts < 200 || rose < 5 {
		t.Errorf("%d charts, %d rose", charts, rose)
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
		{*proved(twos, 5, 5, 5), []string{"estimate.relapse", "estimate.risen", string(NoPacing), "estimate.caution"}},
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
