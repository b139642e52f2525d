package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// What people of the practice wrote down, and the sleep tests.

// Notes shows the newest notes, contacts and outcomes, the newest first, and the
// tests.
func Notes(pr *practice.Practice, p *flows.Patient) []message.Line {
	lines := []message.Line{head(p)}
	for i := len(p.Noted) - 1; i >= 0; i-- {
		lines = append(lines, notedLine(pr, &p.Noted[i], len(p.Noted[i].Text)))
	}
	if len(p.Noted) == 0 {
		lines = append(lines, message.Say("desk.notes.none"))
	}
	for i := len(p.Tests) - 1; i >= 0; i-- {
		lines = append(lines, testLines(&p.Tests[i])...)
	}
	if len(p.Tests) == 0 {
		lines = append(lines, message.Say("desk.tests.none"))
	}
	return lines
}

// nameOf is the practice's label of a person, or the id of one that it knows no more.
func nameOf(pr *practice.Practice, id string) string {
	if who, ok := pr.ByID(id); ok && who.Label != "" {
		return who.Label
	}
	return id
}

// notedAbout shows the newest of those that count, the newest last.
func notedAbout(pr *practice.Practice, p *flows.Patient, counts func(*flows.Noted) bool) (lines []message.Line) {
	for i := len(p.Noted) - 1; i >= 0 && len(lines) < mostNoted; i-- {
		if n := &p.Noted[i]; counts(n) {
			lines = append(lines, notedLine(pr, n, shortNote))
		}
	}
	slices.Reverse(lines)
	return lines
}

// notedLine shows one with at most so many runes of its words.
func notedLine(pr *practice.Practice, n *flows.Noted, most int) message.Line {
	args := []message.Arg{message.ArgD("day", n.At.Date), message.ArgC("time", n.At.Clock), message.ArgS("who", nameOf(pr, n.By))}
	key := "desk.noted." + n.Op.String()
	switch n.Op {
	case flows.OrderNote, flows.OrderContact:
		return message.Say(key, append(args, message.ArgS("text", reading.Clip(n.Text, most)))...)
	case flows.OrderResolve:
		return message.Say(key, append(args, message.ArgS("text", reading.Clip(n.Text, most)), message.ArgK("reason", flows.ReasonKey(n.Reason)))...)
	case flows.OrderRelease:
		args = append(args, message.ArgK("reason", flows.ReasonKey(n.Reason)))
		if n.Text == "" || most == 0 {
			return message.Say("desk.noted.released", args...)
		}
		return message.Say(key, append(args, message.ArgS("text", reading.Clip(n.Text, most)))...)
	}
	if n.Text != "" && most > 0 {
		return message.Say("desk.noted.words", append(args, message.ArgK("what", "desk.b."+n.Op.String()), message.ArgS("text", reading.Clip(n.Text, most)))...)
	}
	return message.Say("desk.noted.order", append(args, message.ArgK("what", "desk.b."+n.Op.String()))...)
}

// testLine is a sleep test in one line.
func testLine(x *chart.SleepTest) message.Line {
	place := "out"
	if x.InPlace {
		place = "in"
	}
	if !x.AHI10.Known() {
		return message.Say("desk.card.test.odi."+place, message.ArgD("on", x.On), message.ArgN("setting", int(x.Setting)),
			message.Arg{Name: "odi", Kind: message.ArgTenths, N: int64(x.ODI10.N())})
	}
	return message.Say("desk.card.test."+place, message.ArgD("on", x.On), message.ArgN("setting", int(x.Setting)),
		message.Arg{Name: "ahi", Kind: message.ArgTenths, N: int64(x.AHI10.N())})
}

// orderLines are the orders that are open: what a review granted, a setting that was
// ordered, a test that is arranged, each with whose it is and since when, as far as
// that is remembered.
func orderLines(pr *practice.Practice, p *flows.Patient) []message.Line {
	c := &p.Course
	var lines []message.Line
	since := func(op flows.OrderOp) {
		if n, ok := p.NotedFor(op); ok {
			lines = append(lines, notedLine(pr, &n, 0))
		}
	}
	if c.GrantTo > 0 && (c.GrantUntil == 0 || c.GrantUntil >= c.Advice.Night) {
		if c.GrantUntil != 0 {
			lines = append(lines, message.Say("desk.card.granted.until", message.ArgN("to", int(c.GrantTo)), message.ArgD("until", c.GrantUntil)))
		} else {
			lines = append(lines, message.Say("desk.card.granted", message.ArgN("to", int(c.GrantTo))))
		}
	}
	if c.OrderTo > 0 {
		lines = append(lines, message.Say("desk.card.ordered", message.ArgN("to", int(c.OrderTo))))
	}
	if c.State == chart.Testing {
		if p.TestOn != 0 {
			lines = append(lines, message.Say("desk.card.arranged.on", message.ArgD("on", p.TestOn)))
		} else {
			lines = append(lines, message.Say("desk.card.arranged"))
		}
	}
	if len(lines) > 0 {
		for _, op := range []flows.OrderOp{flows.OrderGrant, flows.OrderSetting, flows.OrderTesting} {
			since(op)
		}
	}
	return lines
}
