package estimate

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/relapse"
)

// Why there is no relapse chart.
const (
	NoProof Withheld = "estimate.no.proof" // no position is proved
	NoRefer Withheld = "estimate.no.refer" // fewer than twelve scores to go by
)

// Relapsed is how things stand since the position was proved.
type Relapsed struct {
	No               Withheld
	Snoring          relapse.Chart
	Reports          int // scores since the reference
	Sleepy           relapse.Chart
	SleepyNo         Withheld
	SleepyReports    int
	Slipping, Judged bool // two of the last four weeks were short of five worn nights; whether four weeks are known of
}

// Relapse draws the charts in steady use and recall.
func (r *Record) Relapse() Relapsed {
	if r.State != chart.Steady && r.State != chart.Recall || r.TestOn == 0 {
		return Relapsed{No: NoProof}
	}
	var out Relapsed
	for _, s := range r.Older {
		if s.At == r.TestAt {
			out.Snoring.Refer(s.Score)
		}
	}
	take := func(c *relapse.Chart, n *int, night civil.Date, score int) {
		if night <= r.TestOn || !c.Ready() {
			c.Refer(score)
			return
		}
		c.Add(score)
		*n++
	}
	for i := range r.Nights {
		e := &r.Nights[i]
		if score, ok := r.usable(e); ok && e.Low == r.TestAt {
			take(&out.Snoring, &out.Reports, e.Night, score)
		}
		if v := e.V[chart.Sleepiness]; v.Known() && e.Low == r.TestAt {
			take(&out.Sleepy, &out.SleepyReports, e.Night, v.N())
		}
	}
	if !out.Snoring.Ready() {
		out.No = NoRefer
	}
	if !out.Sleepy.Ready() {
		out.SleepyNo = NoRefer
	}
	out.Slipping, out.Judged = r.slipping()
	return out
}

// slipping looks at the last four weeks.
func (r *Record) slipping() (short, judged bool) {
	var worn, known [relapse.Weeks]int
	last := r.newest(7 * relapse.Weeks)
	for i := range last {
		e := &last[i]
		week := int(r.Tonight-1-e.Night) / 7
		is, told := e.Worn(r.least())
		if is {
			worn[week]++
		}
		if told {
			known[week]++
		}
	}
	judged = true
	for _, n := range known {
		judged = judged && n >= relapse.LeastNights
	}
	return relapse.Slipping(worn, known), judged
}
