package picture

import (
	"slices"
	"strings"

	"duskdawn/bot/record"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/replay"
)

// Mover is who moved the appliance before a night.
type Mover uint8

// The movers.
const (
	Nobody  Mover = iota
	Advised       // the patient, as advised
	Desk          // staff: a visit, an order, a release
)

// Night is what a drawing shows of one night.
type Night struct {
	Date       civil.Date
	Known      bool // whether it is known where it stood
	Left       chart.Steps
	Right      chart.Steps // of a two-sided appliance
	Moved      Mover
	Snoring    chart.Answer // 0 to 10, as Reporter heard it
	Reporter   chart.Answer
	Pain       chart.Answer // 0 to 10
	Worn       chart.Answer // chart.WornNo to chart.WornAll
	Rest       bool
	Raised     string      // the classes of the flags that were new that evening, "E", "SN"
	Rule       string      // the rule that the advice shows; empty for no advice
	Other      chart.Steps // with Tried, what another plan would have advised
	Tried      bool
	TriedMoves bool // that other plan would have asked for another setting than this one
}

// Course is a patient's course, to be drawn.
type Course struct {
	Label     string
	Nights    []Night // one a calendar night, oldest first
	Appliance chart.Appliance
	Start     chart.Micrometres // of setting 0, from the habitual bite
	Limits    chart.Limits
	// For the patient: position, snoring and pain, and no limit, since a line that
	// can be reached is one that is reached for.
	Simple bool
}

// CourseOf makes it from a patient's record and the lines of its replay, which
// know of rests and flags; without lines these are left out.
func CourseOf(r record.Record, lines []replay.Line) Course {
	p := &r.Patient
	c := Course{Label: p.Label, Appliance: p.Appliance, Start: p.Baseline.Start, Limits: p.Plan.Limits}
	told := map[string]replay.Line{}
	for _, l := range lines {
		told[l.Night] = l
	}
	var open []replay.Raised
	for i := range r.Nights {
		n := nightOf(p, &r.Nights[i])
		if l, ok := told[n.Date.String()]; ok {
			n.Rest, n.Rule = l.State == chart.Resting.String(), l.Rule
			for _, f := range l.Flags {
				if !slices.Contains(open, f) {
					n.Raised += f.Class
				}
			}
			open = l.Flags
		}
		if i > 0 && c.Nights[i-1].Known && n.Known && n.Left == c.Nights[i-1].Left && n.Right == c.Nights[i-1].Right {
			n.Moved = Nobody
		}
		c.Nights = append(c.Nights, n)
	}
	return c
}

// deskMoves are the acts of the desk that move an appliance, as the diary
// writes them.
var deskMoves = []replay.EventOp{replay.Visit, replay.Release, replay.Order}

func nightOf(p *flows.Patient, of *record.Night) Night {
	e := &of.Entry
	n := Night{Date: e.Night, Snoring: e.At(chart.Snoring), Reporter: e.At(chart.Reporter), Pain: e.At(chart.Pain),
		Worn: e.At(chart.Worn), Moved: Advised}
	if e.Rule != 0 {
		n.Rule = e.Rule.ID()
	}
	if !n.Reporter.Known() {
		n.Reporter = p.Baseline.Reporter
	}
	left, right := e.At(chart.SettingLeft), e.At(chart.SettingRight)
	switch {
	case left.Known():
		n.Known, n.Left = true, chart.Steps(left.N())
	case e.Surely() && e.Night > p.Course.Began:
		n.Known, n.Left = true, e.Low
	}
	if n.Right = n.Left + p.Appliance.Offset; right.Known() {
		n.Right = chart.Steps(right.N())
	}
	for _, ev := range of.Kept.Events {
		if slices.Contains(deskMoves, ev.Op) {
			n.Moved = Desk
		}
	}
	return n
}

// Beside adds what another plan would have advised on the same nights.
func (c *Course) Beside(lines []replay.Line) {
	other := map[string]int{}
	for _, l := range lines {
		other[l.Night] = l.To
	}
	for i := range c.Nights {
		n := &c.Nights[i]
		if to, ok := other[n.Date.String()]; ok {
			n.Tried, n.Other = true, chart.Steps(to)
			n.TriedMoves = n.Known && n.Other != n.Left
		}
	}
}

// column is one or several nights that share a place.
type column struct {
	Night           // of its last night with a position
	nights          int
	snored          map[chart.Answer]float64 // mean score, by reporter
	pain            int                      // the worst; -1 for none
	worn, part, not int
	moved           Mover
	up, down        bool
}

// columns gathers nights so that each column is wide enough to see: one, a
// week or four weeks a column.
func (c *Course) columns(width float64) (out []column, per int) {
	per = 1
	for _, many := range []int{1, 7, 28} {
		per = many
		if float64(len(c.Nights))*3.4 <= width*float64(many) {
			break
		}
	}
	before := Night{}
	for nights := range slices.Chunk(c.Nights, per) {
		k := gather(nights, &before)
		out = append(out, k)
	}
	return out, per
}

func gather(nights []Night, before *Night) column {
	k := column{Night: Night{Date: nights[0].Date}, nights: len(nights), pain: -1, snored: map[chart.Answer]float64{}}
	heard := map[chart.Answer]float64{}
	for _, n := range nights {
		if n.Known {
			k.Known, k.Left, k.Right = true, n.Left, n.Right
			if before.Known && n.Left != before.Left {
				k.up, k.down, k.moved = k.up || n.Left > before.Left, k.down || n.Left < before.Left, max(k.moved, n.Moved)
			}
			*before = n
		}
		if n.Snoring.Known() {
			k.snored[n.Reporter] += float64(n.Snoring.N())
			heard[n.Reporter]++
		}
		if n.Pain.Known() {
			k.pain = max(k.pain, n.Pain.N())
		}
		switch {
		case n.Worn.Is(chart.WornAll):
			k.worn++
		case n.Worn.Is(chart.WornPart):
			k.part++
		case n.Worn.Is(chart.WornNo):
			k.not++
		}
		k.Rest = k.Rest || n.Rest
		for class := range strings.SplitSeq(n.Raised, "") {
			if !strings.Contains(k.Raised, class) {
				k.Raised += class
			}
		}
		if n.Tried {
			k.Tried, k.Other = true, n.Other
		}
	}
	for by, n := range heard {
		k.snored[by] /= n
	}
	return k
}
