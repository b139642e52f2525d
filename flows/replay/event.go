package replay

import (
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

// Event is something that the desk, or the patient with the plan, did on a
// night, before its advice unless the diary says that it came late.
type Event struct {
	Op    EventOp
	To    chart.Steps // of those that name a setting
	Flag  string      // of a release: one flag alone; empty for all
	Until civil.Date  // of a grant; 0 for no end
}

// EventOp is what was done.
type EventOp uint8

// The events, as the column desk_event writes them.
const (
	NoEvent     EventOp = iota
	Visit               // "visit 5": the setting is now 5
	Release             // "release 4": all flags, at most at setting 4; "release 4 pain.severe": that one
	Grant               // "grant 8": up to setting 8; "grant 8 2026-05-01": until that night
	Order               // "order 6": on to setting 6 after a test
	PlanRevised         // "plan": signed anew
	Pause
	Resume
	Test
	Step    // "step": one step that waits for a person is released
	Contact // "contact": a clinician spoke with the patient
	Testing // "testing": a test is arranged
	Steady
	Recall
)

var eventWords = [...]string{Visit: "visit", Release: "release", Grant: "grant", Order: "order", PlanRevised: "plan",
	Pause: "pause", Resume: "resume", Test: "test",
	Step: "step", Contact: "contact", Testing: "testing", Steady: "steady", Recall: "recall"}

// names reports whether the event names a setting.
func (o EventOp) names() bool { return o >= Visit && o <= Order }

const eventExpects = "visit N, release N, grant N, order N, plan, pause, resume, test, step, contact, testing, steady or recall, several separated by ;"

const mostSteps = 999

// String writes the event as desk_event holds it.
func (e Event) String() string {
	s := eventWords[e.Op]
	if e.Op.names() {
		s += " " + strconv.Itoa(int(e.To))
	}
	switch {
	case e.Flag != "":
		s += " " + e.Flag
	case e.Until != 0:
		s += " " + e.Until.String()
	}
	return s
}

// Events writes several events as one cell.
func eventCell(events []Event) string {
	parts := make([]string, len(events))
	for i, e := range events {
		parts[i] = e.String()
	}
	return strings.Join(parts, "; ")
}

// parseEvents reads a cell of the column desk_event.
func parseEvents(cell string) ([]Event, error) {
	var out []Event
	for _, part := range strings.Split(cell, ";") {
		words := strings.Fields(strings.ToLower(part))
		if len(words) == 0 {
			continue
		}
		e, ok := parseEvent(words)
		if !ok {
			return nil, &BadCell{Said: strings.TrimSpace(part), Want: eventExpects}
		}
		out = append(out, e)
	}
	return out, nil
}

func parseEvent(words []string) (e Event, ok bool) {
	at := slices.Index(eventWords[1:], words[0])
	if at < 0 {
		return e, false
	}
	e.Op = EventOp(at + 1)
	words = words[1:]
	if e.Op.names() {
		if len(words) == 0 {
			return e, false
		}
		n, err := strconv.Atoi(words[0])
		if err != nil || n < 0 || n > mostSteps || words[0][0] == '+' {
			return e, false
		}
		e.To, words = chart.Steps(n), words[1:]
	}
	if len(words) == 1 && e.Op == Release {
		e.Flag = words[0]
		return e, redflag.Find(e.Flag) != nil
	}
	if len(words) == 1 && e.Op == Grant {
		d, err := civil.ParseDate(words[0])
		e.Until = d
		return e, err == nil && d >= oldest && d <= newest
	}
	return e, len(words) == 0
}

// act does on a night what the event says.
func (r *Run) act(night civil.Date, e Event) pacing.Refusal {
	c := &r.Course
	switch e.Op {
	case Visit:
		return c.Visit(r.facts, night, e.To)
	case Release:
		return c.Release(r.facts, night, e.Flag, e.To)
	case Grant:
		return c.Grant(r.facts, night, e.To, e.Until, "")
	case Order:
		return c.Order(r.facts, night, e.To)
	case PlanRevised:
		r.revise(night)
		c.Renew(r.facts, night)
	case Pause:
		return c.Pause()
	case Resume:
		return c.Resume()
	case Test:
		return c.Tested(night, c.Left)
	case Step:
		return c.Step(r.facts, night)
	case Contact:
		c.Contact(night)
	case Testing:
		return c.Testing(night)
	case Steady:
		return c.Steady(night)
	case Recall:
		return c.Recall(night)
	}
	return pacing.Done
}

// revise puts the next revision of the plan in force: the next plan that was
// given, or where none is left the same limits, signed for as long again.
func (r *Run) revise(night civil.Date) {
	next := r.plan
	if len(r.later) > 0 {
		next, r.later = r.later[0], r.later[1:]
		next.Fitted = r.plan.Fitted
		r.lasts = next.Ends - next.Fitted
	} else if next.Ends > next.Fitted {
		next.Ends = max(next.Ends, night+r.lasts)
	}
	next.Rev = r.plan.Rev + 1
	r.plan = next
}

// Refused says that the rules do not allow what is said to have been done.
type Refused struct {
	Line int
	Said string
	Why  pacing.Refusal // key of the text
}

func (r *Refused) Error() string {
	return "line " + strconv.Itoa(r.Line) + ", column desk_event: " + r.Said + ": " + string(r.Why)
}
