package desk

import (
	"cmp"
	"slices"
	"strconv"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
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
	if p.HeldIn(pr) {
		lines = append(lines, message.Say("desk.card.held"))
	}
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

// What a card shows at most, so that it stays one message; the rest is in the queue
// and behind the button of the notes.
const (
	mostOpen  = 5
	mostNoted = 3
	shortNote = 100 // runes
)

// classHead is the first line of a card: the worst class that is open, then who.
func classHead(p *flows.Patient) message.Line {
	open := sorted([]flows.Patient{*p})
	if len(open) == 0 {
		return head(p)
	}
	return message.Say("desk.card.head.class", message.ArgK("class", classKey(open[0].x.Class)), message.ArgS("label", p.Label),
		message.ArgK("state", stateKey(p.Course.State)))
}

// escalation shows one, for the message that rings, whose first line has the class
// and the label already, or for one that is changed.
func escalation(pr *practice.Practice, p *flows.Patient, number string, private, headed bool) []message.Line {
	for i := range p.Escalations {
		x := &p.Escalations[i]
		if strconv.Itoa(int(x.N)) != number {
			continue
		}
		if !private {
			return append([]message.Line{message.Say("desk.group.esc", message.ArgK("class", classKey(x.Class)),
				message.ArgS("label", p.Label), message.ArgN("n", int(p.Headline(x.N))))}, ackLines(pr, x)...)
		}
		lines := []message.Line{head(p)}
		if !headed {
			lines[0] = classHead(p)
		}
		lines = append(lines, reachLines(p)...)
		vias := []int32{}
		for _, y := range itemOf(p, x) {
			lines = append(lines, escalationLines(pr, p, y, &vias)...)
			for _, f := range p.Course.Flags {
				if f.Esc == y.N {
					lines = append(lines, flagLine(f))
				}
			}
		}
		lines = append(lines, ackLines(pr, x)...)
		lines = append(lines, notedSince(pr, p, x)...)
		lines = append(lines, settingLines(p)...)
		lines = append(lines, adviceLines(pr, p)...)
		return append(lines, nightLines(p)...)
	}
	for _, d := range p.Closed {
		if who, known := pr.ByID(d.By); known && strconv.Itoa(int(d.N)) == number {
			lines := []message.Line{head(p), message.Say("desk.card.resolved.by", message.ArgN("n", int(p.Headline(d.N))), message.ArgS("who", who.Label),
				message.ArgD("day", d.At.Date), message.ArgC("time", d.At.Clock))}
			return append(lines, notedAbout(pr, p, func(n *flows.Noted) bool { return n.N == d.N })...)
		}
	}
	return []message.Line{head(p), message.Say("desk.card.resolved", message.ArgS("n", headline(p, number)))}
}

// itemOf is what belongs to an item: the worst first, of one class what is a flag, and
// of those the newest, which whoever reads the card was rung for.
func itemOf(p *flows.Patient, x *flows.Escalation) (out []*flows.Escalation) {
	for _, i := range p.Item(x) {
		out = append(out, &p.Escalations[i])
	}
	slices.SortStableFunc(out, func(a, b *flows.Escalation) int {
		if a.Class != b.Class {
			return 1 - 2*bit(a.Class.Worse(b.Class))
		}
		return cmp.Or(bit(redflag.Find(b.Reason) != nil)-bit(redflag.Find(a.Reason) != nil), cmp.Compare(max(b.RaisedAt, b.GrewAt), max(a.RaisedAt, a.GrewAt)))
	})
	return out
}

// notedSince is what people wrote down about an item, or about the patient since it was
// raised: whoever takes it over has to know.
func notedSince(pr *practice.Practice, p *flows.Patient, x *flows.Escalation) []message.Line {
	raised := x.Raised
	for _, i := range p.Item(x) {
		if at := p.Escalations[i].Raised; at.Before(raised) {
			raised = at
		}
	}
	return notedAbout(pr, p, func(n *flows.Noted) bool { return !n.At.Before(raised) })
}

func escalationLines(pr *practice.Practice, p *flows.Patient, x *flows.Escalation, vias *[]int32) []message.Line {
	lines := []message.Line{message.Say("desk.card.esc", message.ArgK("class", classKey(x.Class)),
		message.ArgK("reason", reasonKey(x.Reason)),
		message.ArgN("n", int(p.Headline(x.N))), message.ArgD("day", x.Raised.Date), message.ArgC("time", x.Raised.Clock))}
	if x.Unsure {
		lines = append(lines, message.Say("desk.card.unsure"))
	}
	if x.Count > 1 {
		lines = append(lines, message.Say("desk.card.times", message.ArgN("count", int(x.Count))))
	}
	if x.Quote != "" {
		lines = append(lines, message.Say("desk.card.quote", message.ArgS("text", x.Quote)))
	}
	if rule, ok := pacing.RuleNamed(x.Reason); ok {
		lines = append(lines, message.Say(rule.Desk))
	}
	if x.Reason == flows.WhyLeftOut {
		lines = append(lines, untreated(p)...)
	}
	if y := p.Emergency(); y != nil && y.N == x.N {
		lines = append(lines, message.Say("desk.card.emergency"))
	}
	return append(lines, toldLines(pr, p, x, vias)...)
}

// untreated is what decides how long somebody may be without it: AHI, whether
// they drive for work, and the other therapy.
func untreated(p *flows.Patient) []message.Line {
	var lines []message.Line
	if a := p.Baseline.Test.AHI10; a.Known() {
		lines = append(lines, message.Say("desk.card.ahi", message.Arg{Name: "ahi", Kind: message.ArgTenths, N: int64(a.N())}))
	} else {
		lines = append(lines, message.Say("desk.card.ahi.none"))
	}
	if p.Baseline.Drives.Is(chart.Yes) {
		lines = append(lines, message.Say("desk.card.drives"))
	}
	if p.Plan.Fallback == "" {
		return append(lines, message.Say("desk.card.noother"))
	}
	return append(lines, message.Say("desk.card.other", message.ArgS("fallback", p.Plan.Fallback)))
}

// toldLines repeat what the bot told the patient about an escalation. That it
// was told is said only where the message reached the chat. What one message said
// beside several cautions is said once.
func toldLines(pr *practice.Practice, p *flows.Patient, x *flows.Escalation, vias *[]int32) []message.Line {
	head := "desk.card.words"
	switch {
	case x.Told == "":
		return nil
	case x.Heard:
		head = "desk.card.told"
	case x.Via != 0:
		head = "desk.card.undelivered"
	}
	lines := []message.Line{message.Say(head)}
	if len(x.Words.Keys) == 0 { // of an older program, or of long ago
		return append(lines, wordsLine(pr, p, x.Told))
	}
	for _, l := range x.Words.Lines() {
		if l.Key == x.Told || !slices.Contains(*vias, x.Via) {
			lines = append(lines, l)
		}
	}
	if x.Via != 0 {
		*vias = append(*vias, x.Via)
	}
	return lines
}

// wordsLine is a text for the patient, in the reader's language.
func wordsLine(pr *practice.Practice, p *flows.Patient, key string) message.Line {
	return message.Say(key, message.ArgS("number", pr.Emergency),
		message.ArgS("phone", pr.Phone), message.ArgS("practice", pr.Name), message.ArgS("fallback", p.Plan.Fallback),
		message.ArgK("wear", p.Course.WearKey()), flows.CrisisLine(pr))
}

func ackLines(pr *practice.Practice, x *flows.Escalation) []message.Line {
	if x.AckBy == "" && x.Quiet {
		return nil // of the digest: nobody has to take it
	}
	if had, known := pr.ByID(x.HadBy); x.AckBy == "" && known {
		key := "desk.card.had"
		if had.Removed {
			key = "desk.card.left.practice"
		}
		return []message.Line{message.Say(key, message.ArgS("who", had.Label))}
	}
	if x.AckBy == "" {
		return []message.Line{message.Say("desk.card.waits")}
	}
	who, _ := pr.ByID(x.AckBy)
	if who.Label == "" {
		who.Label = x.AckBy
	}
	return []message.Line{message.Say("desk.card.ack", message.ArgS("who", who.Label))}
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

func adviceLines(pr *practice.Practice, p *flows.Patient) []message.Line {
	a := &p.Course.Advice
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
