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
	k := NewKeeper(id)
	for i := range happened {
		k.Next(&happened[i])
	}
	return k.rows
}

// Keeper is a course that goes on, with what Keep gives of it so far.
type Keeper struct {
	Course Course
	rows   map[civil.Date]*Kept
	known  map[civil.Date]*[chart.NumFields]chart.Answer
}

// NewKeeper is one of which nothing has happened.
func NewKeeper(id chart.PatientID) *Keeper {
	return &Keeper{Course: Course{ID: id}, rows: map[civil.Date]*Kept{},
		known: map[civil.Date]*[chart.NumFields]chart.Answer{}}
}

// Rows are the nights so far. They go on changing with Next.
func (k *Keeper) Rows() map[civil.Date]*Kept { return k.rows }

func (k *Keeper) row(night civil.Date) *Kept {
	if k.rows[night] == nil {
		k.rows[night] = &Kept{}
	}
	return k.rows[night]
}

// Next takes one event, as Course.Next does.
func (k *Keeper) Next(h *Happened) (line Line, advised bool) {
	before := k.Course.Patient
	line, advised, _ = k.Course.Next(h)
	after := &k.Course.Patient
	if after.Course.Began == 0 {
		return line, advised
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
	return line, advised
}

// answers notes what changed of a night, and marks what its advice did not know.
func (k *Keeper) answers(e *chart.Entry, given civil.Date, late Late) {
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
		if f.Row().About == chart.Tonight {
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
	same := func(o Late) bool { return o.Name == l.Name && o.For == l.For && o.After == l.After }
	if !slices.ContainsFunc(k.Late, same) {
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

// taken is an order and the course before and after it: an order that was
// refused leaves no trace, so what it changed tells whether it was taken.
type taken struct {
	*flows.Order
	before, after *flows.Patient
	tonight       civil.Date
}

// ordered writes down the order that was taken, if it was.
func ordered(o *flows.Order, h *Happened, before, after *flows.Patient, tonight civil.Date) []Event {
	who, known := h.Practice.ByID(o.Actor.ID)
	if !known || who.Removed {
		return nil
	}
	t := taken{o, before, after, tonight}
	e, ok := t.byAnyone()
	if !ok && who.Role >= practice.Clinician {
		e, ok = t.byClinician()
	}
	if !ok {
		return nil
	}
	return []Event{e}
}

// byAnyone reports on the orders that assistants may give, or whose change
// alone shows that the flow took them.
func (t *taken) byAnyone() (Event, bool) {
	was, is := &t.before.Course, &t.after.Course
	switch t.Op {
	case flows.OrderRelease:
		e := Event{Op: Release, To: is.Advised}
		if len(is.Flags) > 0 {
			e.Flag = t.Flag
		}
		return e, len(is.Flags) < len(was.Flags)
	case flows.OrderPlan:
		return Event{Op: PlanRevised}, t.after.Plan.Rev > t.before.Plan.Rev
	case flows.OrderTest:
		n := len(t.after.Tests)
		return Event{Op: Test}, n > 0 && t.Test != nil && t.after.Tests[n-1] == *t.Test && t.reached()
	}
	return Event{}, false
}

// byClinician reports on the orders of a clinician.
func (t *taken) byClinician() (Event, bool) {
	is := &t.after.Course
	switch t.Op {
	case flows.OrderVisit:
		return Event{Op: Visit, To: t.To}, is.Visited == t.tonight && is.EveOn == 0 && is.Left == t.To
	case flows.OrderGrant:
		return Event{Op: Grant, To: t.To, Until: t.Until},
			is.GrantTo == t.To && is.GrantUntil == t.Until && is.Named == t.tonight
	case flows.OrderSetting:
		return Event{Op: Order, To: t.To}, is.OrderTo == t.To && is.Named == t.tonight
	case flows.OrderStep:
		return Event{Op: Step}, is.Freed == is.Left+1 && is.Freed > 0 && t.reached()
	case flows.OrderContact:
		return Event{Op: Contact}, t.reached()
	case flows.OrderTesting:
		return Event{Op: Testing}, is.OnPath() == chart.Testing && t.reached()
	case flows.OrderSteady:
		return Event{Op: Steady}, is.OnPath() == chart.Steady && t.reached()
	case flows.OrderRecall:
		return Event{Op: Recall}, is.OnPath() == chart.Recall && t.reached()
	}
	return Event{}, false
}

// reached reports whether the order counts as a contact with the patient, which
// an order that was taken does.
func (t *taken) reached() bool {
	is := &t.after.Course
	return is.Seen >= t.tonight && is.State != chart.Ended
}
