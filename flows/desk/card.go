package desk

import (
	"strconv"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// recent is how many nights a card shows.
const recent = 7

// Card shows what a caller needs: who, since when, what was said, where the
// appliance stands, pain and snoring of the last nights, open flags, what the
// bot advised and already told, the plan and its author.
func Card(pr *practice.Practice, p *flows.Patient) []message.Line {
	lines := append([]message.Line{classHead(p)}, reachLines(p)...)
	lines = append(lines, heldLines(pr, p)...)
	if pr.Halted {
		lines = append(lines, message.Say("desk.card.halted"))
	}
	open, vias := sorted([]flows.Patient{*p}), []int32{}
	for _, q := range open[:min(len(open), mostOpen)] {
		if lines = append(lines, escalationLines(pr, p, q.x, &vias)...); p.Lead(q.x) {
			lines = append(lines, ackLines(pr, q.x)...)
		}
	}
	if n := len(open) - mostOpen; n > 0 {
		lines = append(lines, message.Say("desk.queue.more", message.ArgN("count", n)))
	}
	for _, f := range p.Course.Flags {
		lines = append(lines, flagLine(f))
	}
	lines = append(lines, settingLines(p)...)
	lines = append(lines, adviceLines(pr, p)...)
	lines = append(lines, nightLines(p)...)
	for i := range p.Noted[:len(p.Noted):len(p.Noted)] {
		if n := len(p.Noted) - mostNoted; i >= n {
			lines = append(lines, notedLine(pr, &p.Noted[i], shortNote))
		}
	}
	if n := len(p.Tests); n > 0 {
		lines = append(lines, testLine(&p.Tests[n-1]))
	}
	lines = append(lines, orderLines(pr, p)...)
	if p.Plan.Rev > 0 {
		lines = append(lines, planLine(p))
	}
	if p.Plan.Fallback != "" && p.Course.State > chart.Consented {
		lines = append(lines, message.Say("desk.card.other", message.ArgS("fallback", p.Plan.Fallback)))
	}
	return lines
}

// heldLines say who holds the steps, since when and why: of this patient, and of all.
func heldLines(pr *practice.Practice, p *flows.Patient) (lines []message.Line) {
	say := func(key string, at civil.Wall, why string, args ...message.Arg) {
		args = append(args, message.ArgD("day", at.Date), message.ArgC("time", at.Clock))
		if lines = append(lines, message.Say(key, args...)); why != "" {
			lines = append(lines, message.Say("desk.card.held.why", message.ArgS("text", why)))
		}
	}
	who, known := pr.ByID(p.HeldBy.By)
	switch by := &p.HeldBy; {
	case p.Held && known:
		say("desk.card.held.by", by.At, by.Reason, message.ArgS("who", who.Label))
	case p.Held && by.By != "": // the patient's own wish
		say("desk.card.held.wish", by.At, "")
	case p.Held:
		lines = append(lines, message.Say("desk.card.held"))
	}
	if !pr.Held || p.Let != 0 && p.Let == pr.HoldN {
		return lines
	}
	if h := &pr.Holder; h.Who != "" {
		say("desk.card.held.all", h.At, h.Why, message.ArgS("who", h.Who))
	} else if len(lines) == 0 {
		lines = append(lines, message.Say("desk.card.held"))
	}
	return lines
}

// What a card shows at most, so that it stays one message; the rest is in the queue
// and behind the button of the notes.
const (
	mostOpen  = 5
	mostNoted = 3
	shortNote = 100 // runes
)

// classHead is the first line of a card: the worst class that is open, then who.
func classHead(p *flows.Patient) message.Line {
	class := p.Urgent()
	if class == 0 {
		return head(p)
	}
	return message.Say("desk.card.head.class", message.ArgK("class", classKey(class)), message.ArgS("label", p.Label),
		message.ArgK("state", stateKey(p.Course.State)))
}

func flagLine(f redflag.Flag) message.Line {
	wear := [...]string{redflag.WearKeep: "keep", redflag.WearBack: "back", redflag.WearTonight: "tonight",
		redflag.WearOut: "out"}[min(f.Wear, redflag.WearOut)]
	day := f.At.Date
	if day == 0 { // raised by an answer about a night
		day = f.Night
	}
	return message.Say("desk.card.flag", message.ArgK("class", classKey(f.Class)), message.ArgK("flag", flagKey(f.ID)),
		message.ArgD("day", day), message.ArgK("wear", "desk.wear."+wear))
}

// settingLines say where the appliance stands, per side, and how sure that is.
func settingLines(p *flows.Patient) []message.Line {
	c := &p.Course
	e := chart.Enrolment{Appliance: p.Appliance, Baseline: p.Baseline}
	if c.State <= chart.Consented {
		return nil
	}
	confirmed, since := c.ConfirmedOn()
	sure, day := "", message.ArgD("day", confirmed)
	switch {
	case since != 0:
		sure, day = ".long", message.ArgD("day", since)
	case confirmed == 0:
		sure, day = ".fitted", message.ArgD("day", p.Plan.Fitted)
	}
	var lines []message.Line
	if p.Appliance.TwoSided {
		lines = append(lines, message.Say("desk.card.left"+sure, append(settingArgs(&e, c.Left), day)...),
			message.Say("desk.card.right"+sure, append(settingArgs(&e, c.Right), day)...))
	} else {
		lines = append(lines, message.Say("desk.card.setting"+sure, append(settingArgs(&e, c.Left), day)...))
	}
	switch {
	case c.InDoubt && c.Low == c.High: // nobody can say between what
		lines = append(lines, message.Say("desk.card.doubt.count"))
	case c.InDoubt:
		lines = append(lines, message.Say("desk.card.doubt", message.ArgN("low", int(c.Low)),
			message.ArgN("high", int(c.High))))
	}
	return lines
}

// adviceLines say what holds: the evening's advice, or where a person has named the
// setting for a later night, what the patient was told then.
func adviceLines(pr *practice.Practice, p *flows.Patient) []message.Line {
	a := &p.Course.Advice
	if next, ahead := p.Ahead(pr); ahead {
		return []message.Line{message.Say("desk.card.ahead", message.ArgD("night", next.Night),
			message.ArgK("action", "desk.action."+next.Action.String()), message.ArgN("to", int(next.To)))}
	}
	if a.Action == chart.NoAction {
		return nil
	}
	lines := []message.Line{message.Say("desk.card.advice", message.ArgD("night", a.Night),
		message.ArgK("action", "desk.action."+a.Action.String()), message.ArgN("to", int(a.To)),
		message.ArgK("rule", ruleKey(a.Rule)))}
	if a.Reason != "" {
		lines = append(lines, message.Say("desk.card.words"), wordsLine(pr, p, a.Reason))
	}
	if a.Ready {
		lines = append(lines, message.Say("desk.card.ready"))
	}
	return lines
}

// nightLines show the last nights, a line each, the newest last: where it stood,
// wear, snoring, pain and where that was. What is not known is a dash, never a nought.
func nightLines(p *flows.Patient) []message.Line {
	c := &p.Course
	n := min(int(c.N), len(c.Nights))
	if n == 0 || c.State <= chart.Consented {
		return nil
	}
	var lines []message.Line
	for i := max(0, n-recent); i < n; i++ {
		e := &c.Nights[i]
		args := []message.Arg{message.ArgD("night", e.Night), message.ArgS("setting", sides(p, e)), message.ArgS("worn", wornMark(e)),
			message.ArgS("snoring", digit(e.At(chart.Snoring))), message.ArgS("pain", digit(e.At(chart.Pain)))}
		if v := e.At(chart.Where); v.Known() {
			lines = append(lines, message.Say("desk.card.night.where", append(args, message.ArgK("place", "label.where."+strconv.Itoa(v.N())))...))
			continue
		}
		lines = append(lines, message.Say("desk.card.night", args...))
	}
	return lines
}

const unknownMark = "–"

func digit(v chart.Answer) string {
	if v.Known() {
		return strconv.Itoa(v.N())
	}
	return unknownMark
}

// wornMark writes a night's wear as hours, or as full, part and none.
func wornMark(e *chart.Entry) string {
	if m := e.At(chart.WornMinutes); m.Known() {
		return strconv.Itoa((m.N()+30)/60) + "h"
	}
	switch v := e.At(chart.Worn); {
	case v.Is(chart.WornAll):
		return "●"
	case v.Is(chart.WornPart):
		return "◐"
	case v.Is(chart.WornNo):
		return "○"
	}
	return unknownMark
}

func planLine(p *flows.Patient) message.Line {
	return message.Say("desk.card.plan", message.ArgN("rev", int(p.Plan.Rev)), message.ArgS("by", p.Plan.ByName),
		message.ArgD("on", p.Plan.On), message.ArgN("ceiling", int(p.Plan.Limits.Ceiling)), message.ArgD("ends", p.Plan.Ends))
}

func reachLines(p *flows.Patient) []message.Line {
	var lines []message.Line
	if p.Phone != "" {
		lines = append(lines, message.Say("desk.card.phone", message.ArgS("phone", p.Phone),
			message.ArgK("lang", "desk.lang."+p.Lang)))
	}
	switch {
	case p.Bounced:
		lines = append(lines, message.Say("desk.card.bounced"))
	case p.Chat == 0:
		lines = append(lines, message.Say("desk.card.nochat"))
	}
	return lines
}

// Plan shows a patient's plan, every limit, what was measured and who signed.
func Plan(p *flows.Patient) []message.Line {
	e := chart.Enrolment{Label: p.Label, Lang: p.Lang, Zone: p.Zone, Phone: p.Phone, Physician: p.Physician,
		Appliance: p.Appliance, Baseline: p.Baseline, Plan: p.Plan, Checklist: p.Checklist, Adult: true}
	lines := []message.Line{head(p)}
	if p.Plan.Rev > 0 {
		lines = append(lines, planLine(p))
	}
	first := e
	if first.Plan.Rev == 1 { // as it was when it was signed
		first.Plan.Rev = 0
	}
	lines = append(lines, enrol.Summarise(first).Say(&e)...)
	lines = append(append(lines, limitLines(&e)...), revisionLines(p)...)
	for i := range p.Tests {
		lines = append(lines, testLines(&p.Tests[i])...)
	}
	return lines
}

// testLines show a sleep test: kind, rule and interpreter beside its number.
func testLines(x *chart.SleepTest) []message.Line {
	lines := []message.Line{message.Say("desk.test.head", message.ArgD("on", x.On), message.ArgS("kind", x.Kind))}
	if x.AHI10.Known() {
		lines = append(lines, message.Say("desk.test.ahi", message.Arg{Name: "ahi", Kind: message.ArgTenths,
			N: int64(x.AHI10.N())}, message.ArgS("rule", x.Rule)))
	}
	if x.ODI10.Known() {
		lines = append(lines, message.Say("desk.test.odi", message.Arg{Name: "odi", Kind: message.ArgTenths,
			N: int64(x.ODI10.N())}, message.ArgN("drop", int(x.ODIDrop))))
	}
	if x.Asleep > 0 {
		lines = append(lines, message.Say("desk.test.asleep", message.Arg{Name: "asleep", Kind: message.ArgMinutes,
			N: int64(x.Asleep)}))
	}
	place := "desk.test.without"
	if x.InPlace {
		place = "desk.test.with"
	}
	lines = append(lines, message.Say(place, message.ArgN("setting", int(x.Setting))))
	if x.By != "" {
		return append(lines, message.Say("desk.test.by", message.ArgS("by", x.By)))
	}
	return append(lines, message.Say("desk.test.unread"))
}
