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
	for _, x := range r.Reports() {
		if x.Refer {
			out.Snoring.Refer(x.Score)
			continue
		}
		out.Snoring.Add(x.Score)
		out.Reports++
	}
	for i := range r.Nights {
		e := &r.Nights[i]
		v := e.V[chart.Sleepiness]
		switch {
		case !v.Known() || e.Low != r.TestAt:
		case e.Night <= r.TestOn || !out.Sleepy.Ready():
			out.Sleepy.Refer(v.N())
		default:
			out.Sleepy.Add(v.N())
			out.SleepyReports++
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

// Report is one snoring score of the plan's reporter at the proven setting.
type Report struct {
	Night civil.Date // 0 where it is no longer remembered
	Score int
	Refer bool // it belongs to what later ones are compared with
}

// Reports lists them, oldest first; none where no position is proved.
func (r *Record) Reports() (out []Report) {
	if r.TestOn == 0 {
		return nil
	}
	var c relapse.Chart
	add := func(x Report) {
		if x.Refer = x.Night <= r.TestOn || !c.Ready(); x.Refer {
			c.Refer(x.Score)
		}
		out = append(out, x)
	}
	for _, s := range r.Older {
		if s.At == r.TestAt {
			add(Report{Score: s.Score})
		}
	}
	for i := range r.Nights {
		e := &r.Nights[i]
		if score, ok := r.usable(e); ok && e.Low == r.TestAt {
			add(Report{Night: e.Night, Score: score})
		}
	}
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
