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

// Relapsed is how things stand since the position was proved, by the charts that P03
// goes by: what is shown and what is acted on are one computation.
type Relapsed struct {
	No       Withheld
	Snoring  relapse.Chart
	Sleepy   relapse.Chart
	SleepyNo Withheld
	Slipping bool // two of the last four weeks were short of five worn nights
}

// Relapse draws the charts in steady use and recall.
func (r *Record) Relapse() Relapsed {
	if r.State != chart.Steady && r.State != chart.Recall || r.TestOn == 0 {
		return Relapsed{No: NoProof}
	}
	out := Relapsed{Snoring: r.Snoring, Sleepy: r.Sleepy, Slipping: r.Slipping}
	if !out.Snoring.Ready() {
		out.No = NoRefer
	}
	if !out.Sleepy.Ready() {
		out.SleepyNo = NoRefer
	}
	return out
}

// Report is one snoring score of the plan's reporter at the proven setting.
type Report struct {
	Night civil.Date
	Score int
	Refer bool // it belongs to what later ones are compared with
}

// Reports lists the scores of the record's nights that made the chart of snoring, oldest
// first; none where no position is proved. Of older scores than the chart compares with
// there are none.
func (r *Record) Reports() (out []Report) {
	if r.TestOn == 0 {
		return nil
	}
	for i := range r.Nights {
		e := &r.Nights[i]
		if score, ok := r.usable(e); ok && e.Surely() && e.Low == r.TestAt {
			out = append(out, Report{Night: e.Night, Score: score, Refer: true})
		}
	}
	since := min(int(r.Snoring.Since), len(out))
	for i := range out[len(out)-since:] {
		out[len(out)-since+i].Refer = false
	}
	return out[max(len(out)-since-r.Snoring.Known(), 0):]
}
