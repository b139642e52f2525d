package desk

import (
	"strconv"
	"strings"

	"duskdawn/flows"
)

// recent is how many nights a card shows.
const recent = 7

// Card shows what a caller needs: who, since when, what was said, where the
// appliance stands, pain and snoring of the last nights, open flags, what the
// bot advised and already told, the plan and its author.
func Card(pr *flows.Practice, p *flows.Patient) []flows.Line {
	lines := []flows.Line{head(p)}
	if pr.Held || p.Held {
		lines = append(lines, flows.Say("desk.card.held"))
	}
	for _, q := range sorted([]flows.Patient{*p}) {
		lines = append(lines, escalationLines(pr, p, q.x)...)
	}
	for _, f := range p.Course.Flags {
		lines = append(lines, flagLine(f))
	}
	lines = append(lines, settingLines(p)...)
	lines = append(lines, adviceLines(pr, p)...)
	lines = append(lines, nightLines(p)...)
	if p.Plan.Rev > 0 {
		lines = append(lines, planLine(p))
	}
	lines = append(lines, reachLines(p)...)
	return lines
}

// escalation shows one, for the message that rings.
func escalation(pr *flows.Practice, p *flows.Patient, number string, private bool) []flows.Line {
	for i := range p.Escalations {
		x := &p.Escalations[i]
		if strconv.Itoa(int(x.N)) != number {
			continue
		}
		if !private {
			return append([]flows.Line{flows.Say("desk.group.esc", flows.ArgK("class", classKey(x.Class)), flows.ArgS("label", p.Label), flows.ArgN("n", int(x.N)))}, ackLines(pr, x)...)
		}
		lines := append([]flows.Line{head(p)}, escalationLines(pr, p, x)...)
		for _, f := range p.Course.Flags {
			if f.Esc == x.N {
				lines = append(lines, flagLine(f))
			}
		}
		lines = append(lines, settingLines(p)...)
		lines = append(lines, adviceLines(pr, p)...)
		lines = append(lines, nightLines(p)...)
		return append(lines, reachLines(p)...)
	}
	return []flows.Line{head(p), flows.Say("desk.card.resolved", flows.ArgS("n", cut(number, 8)))}
}

func escalationLines(pr *flows.Practice, p *flows.Patient, x *flows.Escalation) []flows.Line {
	lines := []flows.Line{flows.Say("desk.card.esc", flows.ArgK("class", classKey(x.Class)), flows.ArgK("reason", reasonKey(x.Reason)),
		flows.ArgN("n", int(x.N)), flows.ArgD("day", x.Raised.Date), flows.ArgC("time", x.Raised.Clock))}
	if x.Count > 1 {
		lines = append(lines, flows.Say("desk.card.times", flows.ArgN("count", int(x.Count))))
	}
	if x.Quote != "" {
		lines = append(lines, flows.Say("desk.card.quote", flows.ArgS("text", x.Quote)))
	}
	if isRule(x.Reason) {
		lines = append(lines, flows.Say("rule."+x.Reason+".desk"))
	}
	return append(append(lines, toldLines(pr, p, x.Told)...), ackLines(pr, x)...)
}

// toldLines repeat what the bot told the patient, in the reader's language.
func toldLines(pr *flows.Practice, p *flows.Patient, key string) []flows.Line {
	if key == "" {
		return nil
	}
	return []flows.Line{flows.Say("desk.card.told"), flows.Say(key, flows.ArgS("number", pr.Emergency), flows.ArgS("phone", pr.Phone), flows.ArgS("practice", pr.Name), flows.ArgS("fallback", p.Plan.Fallback), flows.ArgK("wear", p.Course.WearKey()))}
}

func ackLines(pr *flows.Practice, x *flows.Escalation) []flows.Line {
	if x.AckBy == "" {
		return []flows.Line{flows.Say("desk.card.waits")}
	}
	who, _ := pr.ByID(x.AckBy)
	if who.Label == "" {
		who.Label = x.AckBy
	}
	return []flows.Line{flows.Say("desk.card.ack", flows.ArgS("who", who.Label))}
}

func flagLine(f flows.Flag) flows.Line {
	wear := [...]string{flows.WearKeep: "keep", flows.WearBack: "back", flows.WearTonight: "tonight", flows.WearOut: "out"}[min(f.Wear, flows.WearOut)]
	day := f.At.Date
	if day == 0 { // raised by an answer about a night
		day = f.Night
	}
	return flows.Say("desk.card.flag", flows.ArgK("class", classKey(f.Class)), flows.ArgK("flag", flagKey(f.ID)), flows.ArgD("day", day), flows.ArgK("wear", "desk.wear."+wear))
}

// settingLines say where the appliance stands, per side, and how sure that is.
func settingLines(p *flows.Patient) []flows.Line {
	c := &p.Course
	e := flows.Enrolment{Appliance: p.Appliance, Baseline: p.Baseline}
	if c.State <= flows.Consented {
		return nil
	}
	on := flows.ArgD("day", c.SetOn)
	if c.SetOn < p.Plan.Fitted {
		on = flows.ArgD("day", p.Plan.Fitted)
	}
	var lines []flows.Line
	if p.Appliance.TwoSided {
		lines = append(lines, flows.Say("desk.card.left", append(settingArgs(&e, c.Left), on)...), flows.Say("desk.card.right", append(settingArgs(&e, c.Right), on)...))
	} else {
		lines = append(lines, flows.Say("desk.card.setting", append(settingArgs(&e, c.Left), on)...))
	}
	if c.InDoubt {
		lines = append(lines, flows.Say("desk.card.doubt", flows.ArgN("low", int(c.Low)), flows.ArgN("high", int(c.High))))
	}
	return lines
}

func adviceLines(pr *flows.Practice, p *flows.Patient) []flows.Line {
	a := &p.Course.Advice
	if a.Action == flows.NoAction {
		return nil
	}
	lines := []flows.Line{flows.Say("desk.card.advice", flows.ArgD("night", a.Night), flows.ArgK("action", "desk.action."+a.Action.String()), flows.ArgN("to", int(a.To)), flows.ArgK("rule", ruleKey(a.Rule)))}
	lines = append(lines, toldLines(pr, p, a.Reason)...)
	if a.Ready {
		lines = append(lines, flows.Say("desk.card.ready"))
	}
	return lines
}

// nightLines show the last nights of pain, snoring and wear, oldest first.
// What is not known is a dash, never a nought.
func nightLines(p *flows.Patient) []flows.Line {
	c := &p.Course
	n := min(int(c.N), len(c.Nights))
	if n == 0 || c.State <= flows.Consented {
		return nil
	}
	nights := c.Nights[max(0, n-recent):n]
	var pain, snoring, worn strings.Builder
	for i := range nights {
		if i > 0 {
			pain.WriteByte(' ')
			snoring.WriteByte(' ')
			worn.WriteByte(' ')
		}
		pain.WriteString(digit(nights[i].At(flows.Pain)))
		snoring.WriteString(digit(nights[i].At(flows.Snoring)))
		worn.WriteString(wornMark(&nights[i]))
	}
	return []flows.Line{
		flows.Say("desk.card.nights", flows.ArgD("from", nights[0].Night), flows.ArgD("to", nights[len(nights)-1].Night)),
		flows.Say("desk.card.pain", flows.ArgS("row", pain.String())),
		flows.Say("desk.card.snoring", flows.ArgS("row", snoring.String())),
		flows.Say("desk.card.worn", flows.ArgS("row", worn.String())),
	}
}

const unknownMark = "–"

func digit(v flows.Value) string {
	if v.Known() {
		return strconv.Itoa(v.N())
	}
	return unknownMark
}

// wornMark writes a night's wear as hours, or as full, part and none.
func wornMark(e *flows.Entry) string {
	if m := e.At(flows.WornMinutes); m.Known() {
		return strconv.Itoa((m.N()+30)/60) + "h"
	}
	switch v := e.At(flows.Worn); {
	case v.Is(flows.WornAll):
		return "●"
	case v.Is(flows.WornPart):
		return "◐"
	case v.Is(flows.WornNo):
		return "○"
	}
	return unknownMark
}

func planLine(p *flows.Patient) flows.Line {
	return flows.Say("desk.card.plan", flows.ArgN("rev", int(p.Plan.Rev)), flows.ArgS("by", p.Plan.ByName), flows.ArgD("on", p.Plan.On), flows.ArgN("ceiling", int(p.Plan.Limits.Ceiling)), flows.ArgD("ends", p.Plan.Ends))
}

func reachLines(p *flows.Patient) []flows.Line {
	var lines []flows.Line
	if p.Phone != "" {
		lines = append(lines, flows.Say("desk.card.phone", flows.ArgS("phone", p.Phone), flows.ArgK("lang", "desk.lang."+p.Lang)))
	}
	switch {
	case p.Bounced:
		lines = append(lines, flows.Say("desk.card.bounced"))
	case p.Chat == 0:
		lines = append(lines, flows.Say("desk.card.nochat"))
	}
	return lines
}

// Plan shows a patient's plan, every limit, what was measured and who signed.
func Plan(p *flows.Patient) []flows.Line {
	e := flows.Enrolment{Label: p.Label, Lang: p.Lang, Zone: p.Zone, Phone: p.Phone, Physician: p.Physician, Appliance: p.Appliance, Baseline: p.Baseline, Plan: p.Plan, Checklist: p.Checklist, Adult: true}
	lines := []flows.Line{head(p)}
	if p.Plan.Rev > 0 {
		lines = append(lines, planLine(p))
	}
	lines = append(lines, flows.Summarise(e).Say(&e)...)
	lines = append(lines, limitLines(&e)...)
	for i := range p.Tests {
		lines = append(lines, testLines(&p.Tests[i])...)
	}
	return lines
}

// testLines show a sleep test: kind, rule and interpreter beside its number.
func testLines(x *flows.SleepTest) []flows.Line {
	lines := []flows.Line{flows.Say("desk.test.head", flows.ArgD("on", x.On), flows.ArgS("kind", x.Kind))}
	if x.AHI10.Known() {
		lines = append(lines, flows.Say("desk.test.ahi", flows.Arg{Name: "ahi", Kind: flows.ArgTenths, N: int64(x.AHI10.N())}, flows.ArgS("rule", x.Rule)))
	}
	if x.ODI10.Known() {
		lines = append(lines, flows.Say("desk.test.odi", flows.Arg{Name: "odi", Kind: flows.ArgTenths, N: int64(x.ODI10.N())}, flows.ArgN("drop", int(x.ODIDrop))))
	}
	if x.Asleep > 0 {
		lines = append(lines, flows.Say("desk.test.asleep", flows.Arg{Name: "asleep", Kind: flows.ArgMinutes, N: int64(x.Asleep)}))
	}
	place := "desk.test.without"
	if x.InPlace {
		place = "desk.test.with"
	}
	lines = append(lines, flows.Say(place, flows.ArgN("setting", int(x.Setting))))
	if x.By != "" {
		return append(lines, flows.Say("desk.test.by", flows.ArgS("by", x.By)))
	}
	return append(lines, flows.Say("desk.test.unread"))
}
