package record

import (
	"fmt"
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
)

// unsaid stands for words that somebody typed.
const unsaid = "..."

// mask puts stand-ins for what tells who somebody is: the same for the same, so
// that a course still fits together.
type mask struct {
	id    chart.PatientID
	chats map[int64]int64
	codes map[string]string
}

// words keeps that something was said, and not what.
func words(s string) string {
	if s == "" {
		return ""
	}
	return unsaid
}

func (m *mask) chat(c int64) int64 {
	if c == 0 {
		return 0
	}
	if m.chats[c] == 0 {
		m.chats[c] = int64(len(m.chats) + 1)
	}
	return m.chats[c]
}

func (m *mask) code(c string) string {
	if c == "" {
		return ""
	}
	if m.codes[c] == "" {
		m.codes[c] = fmt.Sprintf("CODE%08d", len(m.codes)+1)
	}
	return m.codes[c]
}

func (m *mask) several(codes []string) (out []string) {
	for _, c := range codes {
		out = append(out, m.code(c))
	}
	return out
}

// actor keeps the person's own random id, and the role claimed.
func actor(a flows.Actor) flows.Actor { return flows.Actor{ID: a.ID, Role: a.Role} }

// body is an event without what tells who somebody is. Every field of every
// event is either copied here by name or left out: a new one is left out until
// somebody has looked at it.
func (m *mask) body(b flows.Body) flows.Body {
	switch b := b.(type) {
	case flows.Enrol:
		return flows.Enrol{Enrolment: m.enrolment(b.Enrolment), Actor: actor(b.Actor), Code: m.code(b.Code)}
	case flows.Join:
		return flows.Join{Chat: m.chat(b.Chat), Code: m.code(b.Code), Lang: b.Lang, Gen: b.Gen}
	case flows.Said:
		r := b.Reading
		r.Why = "" // what was typed after it
		r.Code = m.code(r.Code)
		return flows.Said{Chat: m.chat(b.Chat), Gen: b.Gen, Reading: r, Text: words(b.Text), Sent: b.Sent, Wall: b.Wall,
			ReplyTo: b.ReplyTo,
			Edited:  b.Edited, Message: b.Message, From: b.From, Media: b.Media, Among: m.several(b.Among), Forwarded: b.Forwarded}
	case flows.Tap:
		return flows.Tap{Chat: m.chat(b.Chat), Gen: b.Gen, Op: b.Op, Arg: b.Arg, Nonce: b.Nonce, Message: b.Message,
			Patient: b.Patient}
	case flows.Other:
		return flows.Other{Chat: m.chat(b.Chat), Gen: b.Gen, Kind: b.Kind, Message: b.Message, From: b.From}
	case flows.Due:
		return flows.Due{Name: b.Name, Arg: b.Arg, Scheduled: b.Scheduled, Late: b.Late}
	case flows.Order:
		return m.order(b)
	case flows.Bounce:
		return flows.Bounce{Chat: m.chat(b.Chat), Why: b.Why}
	case flows.Reached:
		return flows.Reached{Chat: m.chat(b.Chat)}
	case flows.Numbered:
		return flows.Numbered{Number: b.Number}
	case flows.Missed:
		return flows.Missed{Key: b.Key}
	case flows.Delivered:
		return flows.Delivered{Key: b.Key}
	case flows.StaffChange: // who left, by the random id
		return flows.StaffChange{Op: b.Op, Staff: practice.Staff{ID: b.Staff.ID}}
	case flows.Gap:
		return flows.Gap{Minutes: b.Minutes}
	case flows.Restored:
		return flows.Restored{Epoch: b.Epoch, Since: b.Since}
	}
	return b
}

func (m *mask) order(b flows.Order) flows.Order {
	o := flows.Order{Actor: actor(b.Actor), Op: b.Op, Esc: b.Esc, Flag: b.Flag, To: b.To, Until: b.Until, Evening: b.Evening, Morning: b.Morning,
		Text: words(b.Text), Lang: b.Lang, Zone: b.Zone,
		Code: m.code(b.Code), Has: b.Has, Base: b.Base, Sure: b.Sure, Made: b.Made, At: b.At, For: b.For}
	if b.Plan != nil {
		p := plan(*b.Plan)
		o.Plan = &p
	}
	if b.Test != nil {
		x := test(*b.Test)
		o.Test = &x
	}
	if b.Entry != nil {
		e := *b.Entry
		o.Entry, o.More = &e, slices.Clone(b.More)
	}
	return o
}

func (m *mask) enrolment(e chart.Enrolment) chart.Enrolment {
	e.Label, e.Phone, e.Physician = string(m.id), words(e.Phone), words(e.Physician)
	e.Template = ""
	a := &e.Appliance
	a.Mechanism, a.StepWord, a.Forward = words(a.Mechanism), words(a.StepWord), words(a.Forward)
	a.Labels = nil
	e.Baseline.Allergies = words(e.Baseline.Allergies)
	e.Baseline.Test = test(e.Baseline.Test)
	e.Baseline.Scores = nil
	e.Plan = plan(e.Plan)
	return e
}

// plan keeps the limits and hours that were signed, and the signer's random id.
func plan(p chart.Plan) chart.Plan {
	p.ByName, p.Fallback = words(p.ByName), words(p.Fallback)
	return p
}

// test keeps the figures of a sleep test and what they count, not who read it.
func test(x chart.SleepTest) chart.SleepTest {
	x.Kind, x.Rule, x.By = words(x.Kind), words(x.Rule), words(x.By)
	return x
}
