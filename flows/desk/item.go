package desk

import (
	"cmp"
	"slices"
	"strconv"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// The card of one item: why it was raised, what the patient was told, who has it and
// what was noted since.

// escalation shows one, for the message that rings, whose first line has the class
// and the label already, or for one that is changed.
func escalation(pr *practice.Practice, p *flows.Patient, number string, private, headed bool) []message.Line {
	for i := range p.Escalations {
		x := &p.Escalations[i]
		if strconv.Itoa(int(x.N)) != number {
			continue
		}
		if !private {
			return append([]message.Line{message.Say("desk.group.esc", message.ArgK("class", classKey(p.UrgentIn(x))),
				message.ArgS("label", p.Label), message.ArgN("n", int(p.Headline(x.N))))}, ackLines(pr, x)...)
		}
		lines := []message.Line{head(p)}
		if !headed {
			lines[0] = classHead(p)
		}
		lines = append(lines, reachLines(p)...)
		vias := []int32{}
		for _, y := range asked(itemOf(p, x), x) {
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

// roomForWords is how many bytes of what was said have room on a card beside all else: a message holds 4,096 characters.
const roomForWords = 1800

// asked puts what was asked for first, where not all that was said has room: each is read under its own number.
func asked(item []*flows.Escalation, x *flows.Escalation) []*flows.Escalation {
	all := 0
	for _, y := range item {
		all += len(y.Quote)
	}
	if i := slices.Index(item, x); i > 0 && all > roomForWords {
		item = append([]*flows.Escalation{x}, slices.Delete(item, i, i+1)...)
	}
	return item
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
		message.ArgK("reason", flows.ReasonKey(x.Reason)),
		message.ArgN("n", int(p.Headline(x.N))), message.ArgD("day", x.Raised.Date), message.ArgC("time", x.Raised.Clock))}
	switch {
	case x.Unsure && p.Course.LeftOut():
		lines = append(lines, message.Say("desk.card.unsure.out"))
	case x.Unsure:
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
