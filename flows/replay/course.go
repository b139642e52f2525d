package replay

import (
	"errors"
	"fmt"
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
)

// Happened is one event of a patient's journal: what happened, what its
// decision saw of the practice, and the advice that was written down with it.
type Happened struct {
	Seq      int64
	Event    flows.Event
	Practice practice.Practice // staff, holds and restores alone: nothing else of it bears on an advice
	Given    []Given
	Rules    int32 // the version of the rules that it was decided by; 0 where that is not known
}

// Given is an advice as the journal has it.
type Given struct {
	Number int32       `json:"number"`
	Action string      `json:"action"`
	To     chart.Steps `json:"to"`
	Rule   string      `json:"rule"`
}

// Course is a patient's course being run again, event by event, through the
// one flow that the chat uses. The zero Course with an ID is before the first.
type Course struct {
	ID      chart.PatientID
	Patient flows.Patient
	Limits  *chart.Limits // where set, they stand in place of every plan that was signed
}

// Next runs the next event and gives the line of the advice that it led to,
// which is the patient's newest; false where it led to none. The effects are
// what the chat did then.
func (c *Course) Next(h *Happened) (line Line, advised bool, fx []flows.Effect) {
	p, e := c.Patient, h.Event
	if _, ok := e.Body.(flows.Enrol); ok && p.ID == "" {
		p.ID = c.ID
	}
	e.Body = c.limit(e.Body)
	next, fx := flows.Next(h.Practice, p, e)
	if next.ID == "" {
		return Line{}, false, nil
	}
	next.ID = c.ID
	was := c.Patient.Course.Advices
	c.Patient = next
	a := &c.Patient.Course.Advice
	if c.Patient.Course.Advices == was {
		return Line{}, false, fx
	}
	return lineOf(&c.Patient.Course, a, &c.Patient.Appliance, &c.Patient.Baseline), true, fx
}

// limit puts other limits in place of the signed ones.
func (c *Course) limit(b flows.Body) flows.Body {
	if c.Limits == nil {
		return b
	}
	switch x := b.(type) {
	case flows.Enrol:
		x.Enrolment.Plan.Limits = *c.Limits
		return x
	case flows.Order:
		if x.Plan != nil {
			plan := *x.Plan
			plan.Limits = *c.Limits
			x.Plan = &plan
		}
		return x
	}
	return b
}

// ErrAppliance says that a plan is for another appliance.
var ErrAppliance = errors.New("the plan is for another appliance: the step, the travel and the sides must be the same")

// SameAppliance reports whether settings of the two mean the same.
func SameAppliance(a, b *chart.Appliance) error {
	if a.Step != b.Step || a.Travel != b.Travel || a.TwoSided != b.TwoSided || a.Offset != b.Offset {
		return ErrAppliance
	}
	return nil
}

// Fits reports whether a plan's limits can be tried on a course.
func Fits(happened []Happened, e *chart.Enrolment) error {
	for i := range happened {
		if b, ok := happened[i].Event.Body.(flows.Enrol); ok {
			return SameAppliance(&b.Enrolment.Appliance, &e.Appliance)
		}
	}
	return nil
}

// Differs is an advice that these rules give otherwise than it was given then.
type Differs struct {
	Seq  int64
	Want []Given // as it was given
	Got  chart.Advice
}

func (d *Differs) Error() string {
	if len(d.Want) == 0 {
		return fmt.Sprintf("event %d: these rules give %s %d by %s on %s, where nothing was given", d.Seq, d.Got.Action,
			d.Got.To, d.Got.Rule.ID(), d.Got.Night)
	}
	w := d.Want[len(d.Want)-1]
	return fmt.Sprintf("event %d: given was advice %d, %s %d by %s; these rules give advice %d, %s %d by %s on %s",
		d.Seq, w.Number, w.Action, w.To, w.Rule, d.Got.Number, d.Got.Action, d.Got.To, d.Got.Rule.ID(), d.Got.Night)
}

// Check compares the advice that an event led to with what was given.
func (c *Course) Check(h *Happened, advised bool) error {
	a := c.Patient.Course.Advice
	if !advised && len(h.Given) == 0 {
		return nil
	}
	if advised && len(h.Given) > 0 && h.Given[len(h.Given)-1] == GivenOf(&a) {
		return nil
	}
	return &Differs{Seq: h.Seq, Want: h.Given, Got: a}
}

// GivenOf is an advice as the journal has it.
func GivenOf(a *chart.Advice) Given {
	return Given{Number: a.Number, Action: a.Action.String(), To: a.To, Rule: a.Rule.ID()}
}

// GivenIn reads what was written down of advices in an event's notes.
func GivenIn(logs []flows.Log) (out []Given) {
	for _, l := range logs {
		if l.What != "advice" && l.What != "advice.replaced" {
			continue
		}
		var g Given
		for _, a := range l.Args {
			switch a.Name {
			case "number":
				g.Number = int32(a.N)
			case "action":
				g.Action = a.S
			case "to":
				g.To = chart.Steps(a.N)
			case "rule":
				g.Rule = a.S
			}
		}
		out = append(out, g)
	}
	return out
}

// SeenOf is what an advice can depend on of a practice, and nothing else of it:
// who may do what, holds, restores, a foreign program.
func SeenOf(pr *practice.Practice) practice.Practice {
	seen := practice.Practice{Held: pr.Held, HoldN: pr.HoldN, Epoch: pr.Epoch, Released: pr.Released, Rival: pr.Rival, Halted: pr.Halted,
		Langs: slices.Clone(pr.Langs)}
	for _, s := range pr.Staff {
		seen.Staff = append(seen.Staff, practice.Staff{ID: s.ID, Role: s.Role, Removed: s.Removed})
	}
	return seen
}
