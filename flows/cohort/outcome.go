package cohort

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

// End is where a course stands when the nights are over, in words that a person
// of the practice would use. The order is of the tables.
type End uint8

// The ends.
const (
	AtTarget    End = iota // snoring settled, or the position is proved
	AtCeiling              // as far as was signed, and it still snores
	AtPlateau              // steps no longer help: a clinician's
	AtComfort              // as far as it is comfortable: a clinician's
	Dropped                // left
	Waiting                // a flag is open, or something else waits for a person
	Underway               // settling, stepping or resting by the plan
	NotEnrolled            // the plan does not fit the patient
	NumEnds
)

var endNames = [NumEnds]string{"at target", "at ceiling", "plateau", "comfort limit", "dropped", "waits for a person",
	"under way", "not enrolled"}

func (e End) String() string { return endNames[e] }

// The classes of flags, the most urgent first.
var classes = [...]redflag.Class{redflag.ClassE, redflag.ClassS, redflag.ClassN, redflag.ClassR}

// Outcome is one course, lived.
type Outcome struct {
	End         End
	Nights      int // lived
	Worn        int // of those, worn for at least a part
	Reached     int // the night on which snoring had settled, from 1; 0: never
	Forward     int // steps forward
	BackOffs    int
	Rests       int
	Peak        int // the worst morning's pain
	Sore        int // mornings with pain of the week before two months
	Final       chart.Steps
	Flags       [len(classes)]int
	Escalations int
	Needless    int  // steps forward from a setting at which snoring was at the target in truth
	Quiet       bool // it stands at the target, and the true mean there is 3.5 or lower
	Way         int  // how snoring responds up to the ceiling
	Stopped     bool // a clinician was told that it cannot be said that steps help
	Twins       int  // compared for the promises of worse and undone answers
	Breaches    [NumPromises]int
	First       string // what the first breach was
}

// quietMean is a true mean of snoring that settles on most nights.
const quietMean = 3.5

// finish sums the course up.
func (pl *Player) finish() {
	c := &pl.p.Course
	pl.out.Final = c.Left
	pl.out.Escalations = int(pl.p.EscCount)
	pl.out.End = pl.end(c)
	pl.out.Quiet = pl.out.End == AtTarget && pl.who.snores(pl.mm()) <= quietMean
	top := float64(pl.p.Baseline.Start) + float64(pl.p.Plan.Limits.Ceiling)*float64(pl.p.Appliance.Step)
	pl.out.Way = pl.who.way(top/1000, int(pl.p.Plan.Limits.Target))
	if !pl.wayOut() {
		pl.watch.broke(pl, PromiseWayOut, c.State.String())
	}
}

// wayOut tries, on a twin, the order by which a person leads on from where the
// course stands.
func (pl *Player) wayOut() bool {
	t := pl.p.Twin()
	w := pl.now.wall()
	did := func(o flows.Order) *pacing.Course {
		o.Actor, o.Text = flows.Actor{ID: clinician}, "on"
		pl.work.Next(&pl.pr, &t, &flows.Event{Wall: w, Office: w, Body: o})
		return &t.Course
	}
	switch s := t.Course.State; s {
	case chart.Invited, chart.Consented, chart.Holding, chart.Testing, chart.Steady, chart.Recall:
		return did(flows.Order{Op: flows.OrderEnd}).State == chart.Ended
	case chart.Settling, chart.Stepping, chart.Resting:
		return did(flows.Order{Op: flows.OrderVisit, Has: true}).Visited >= pl.night
	case chart.Stopped:
		return did(flows.Order{Op: flows.OrderRelease}).State != s
	case chart.Paused, chart.Ended:
		return did(flows.Order{Op: flows.OrderReopen}).State != s
	}
	return false
}

// end names where it stands.
func (pl *Player) end(c *pacing.Course) End {
	if pl.quit || c.State == chart.Ended {
		return Dropped
	}
	top := min(pl.p.Plan.Limits.Ceiling, pl.p.Appliance.Travel)
	fired := c.Advice.Fired
	switch under := c.OnPath(); {
	case c.State == chart.Paused, c.State == chart.Stopped:
		return Waiting
	case under >= chart.Holding && under <= chart.Recall:
		return AtTarget
	case c.Open() || c.Lapsed:
		return Waiting
	case fired.Has(pacing.P17):
		return AtPlateau
	case c.Left >= top:
		return AtCeiling
	case c.Limited && c.Left >= c.Limit:
		return AtComfort
	case fired.Has(pacing.P01) || fired.Has(pacing.P16):
		return Waiting
	}
	return Underway
}
