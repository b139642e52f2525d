package replay

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// Kept is what the row of an exported diary holds of its night besides the
// answers and the advice.
type Kept struct {
	Events []Event
	Late   []Late
}

// EventCell writes what was done that night, as the column desk_event holds it.
func (k *Kept) EventCell() string { return eventCell(k.Events) }

// Keep runs a course again and gives, night by night, what was done and which
// cells came late. A diary cannot hold everything: words that raised a flag, a
// count that was said to be lost, and an answer that changed twice between two
// advices are in the course alone.
func Keep(id chart.PatientID, happened []Happened) map[civil.Date]*Kept {
	k := keeper{c: Course{ID: id}, rows: map[civil.Date]*Kept{}, known: map[civil.Date]*[chart.NumFields]chart.Answer{}}
	for i := range happened {
		k.next(&happened[i])
	}
	return k.rows
}

type keeper struct {
	c     Course
	rows  map[civil.Date]*Kept
	known map[civil.Date]*[chart.NumFields]chart.Answer
}

func (k *keeper) row(night civil.Date) *Kept {
	if k.rows[night] == nil {
		k.rows[night] = &Kept{}
	}
	return k.rows[night]
}

func (k *keeper) next(h *Happened) {
	before := k.c.Patient
	k.c.Next(h)
	after := &k.c.Patient
	if after.Course.Began == 0 {
		return
	}
	tonight := after.Plan.Coming(h.Event.Wall)
	given := civil.Date(-1) // the newest night that had its advice before
	if before.Course.Advices > 0 {
		given = before.Course.Advice.Night
	}
	late := Late{For: tonight}
	if tonight <= given {
		late.For, late.After = given, true
	}
	for i := range after.Course.N {
		k.answers(&after.Course.Nights[i], given, late)
	}
	for _, e := range done(h, &before, after, tonight) {
		row := k.row(tonight)
		if given >= tonight {
			late.Name, late.Was = eventColumn, eventCell(row.Events)
			row.mark(late)
		}
		row.Events = append(row.Events, e)
	}
}

// answers notes what changed of a night, and marks what its advice did not know.
func (k *keeper) answers(e *chart.Entry, given civil.Date, late Late) {
	was := k.known[e.Night]
	if was == nil {
		was = &[chart.NumFields]chart.Answer{}
		k.known[e.Night] = was
	}
	for _, c := range chart.Columns() {
		f := c.Field
		if e.V[f] == was[f] {
			continue
		}
		used := e.Night + 1 // the advice that would have used it
		if flows.OfTonight(f) {
			used = e.Night
		}
		if given >= used {
			late.Name, late.Was = c.Name, c.Format(was[f])
			k.row(e.Night).mark(late)
		}
		was[f] = e.V[f]
	}
}

// mark adds a mark; of several changes between two advices the first says what
// was known before.
func (k *Kept) mark(l Late) {
	if !slices.ContainsFunc(k.Late, func(o Late) bool {
		return o.Name == l.Name && o.For == l.For &&
			o.After == l.After
	}) {
		k.Late = append(k.Late, l)
	}
}

// done reads off what an event did to a course, as a diary writes it.
func done(h *Happened, before, after *flows.Patient, tonight civil.Date) (out []Event) {
	was, is := &before.Course, &after.Course
	if o, ok := h.Event.Body.(flows.Order); ok && was.Began != 0 {
		out = ordered(&o, h, before, after, tonight)
	}
	switch {
	case was.Pausing == is.Pausing:
	case is.Pausing:
		out = append(out, Event{Op: Pause})
	default:
		out = append(out, Event{Op: Resume})
	}
	return out
}

func ordered(o *flows.Order, h *Happened, before, after *flows.Patient, tonight civil.Date) []Event {
	was, is := &before.Course, &after.Course
	who, known := h.Practice.ByID(o.Actor.ID)
	if !known || who.Removed {
		return nil
	}
	reached := is.Seen >= tonight && is.State != chart.Ended // every act below is a contact with the patient
	one := func(ok bool, e Event) []Event {
		if !ok {
			return nil
		}
		return []Event{e}
	}
	clinician := who.Role >= practice.Clinician
	switch o.Op {
	case flows.OrderVisit:
		return one(clinician && is.Visited == tonight && is.EveOn == 0 && is.Left == o.To, Event{Op: Visit, To: o.To})
	case flows.OrderRelease:
		e := Event{Op: Release, To: is.Advised}
		if len(is.Flags) > 0 {
			e.Flag = o.Flag
		}
		return one(len(is.Flags) < len(was.Flags), e)
	case flows.OrderGrant:
		return one(clinician && is.GrantTo == o.To && is.GrantUntil == o.Until && is.Named == tonight,
			Event{Op: Grant, To: o.To, Until: o.Until})
	case flows.OrderSetting:
		return one(clinician && is.OrderTo == o.To && is.Named == tonight, Event{Op: Order, To: o.To})
	case flows.OrderPlan:
		return one(after.Plan.Rev > before.Plan.Rev, Event{Op: PlanRevised})
	case flows.OrderTest:
		return one(len(after.Tests) > 0 && o.Test != nil && after.Tests[len(after.Tests)-1] == *o.Test && reached,
			Event{Op: Test})
	case flows.OrderStep:
		return one(clinician && is.Freed == is.Left+1 && is.Freed > 0 && reached, Event{Op: Step})
	case flows.OrderContact:
		return one(clinician && reached, Event{Op: Contact})
	case flows.OrderTesting:
		return one(clinician && is.Under() == chart.Testing && reached, Event{Op: Testing})
	case flows.OrderSteady:
		return one(clinician && is.Under() == chart.Steady && reached, Event{Op: Steady})
	case flows.OrderRecall:
		return one(clinician && is.Under() == chart.Recall && reached, Event{Op: Recall})
	}
	return nil
}
