package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// orderRow is one order: who may give it, and when it makes sense.
type orderRow struct {
	least practice.Role
	early bool // before the course has begun
	late  bool // after it has ended
	do    func(*turn, Order, practice.Staff)
}

// orders is the table of what staff may ask of a patient's flow. Those of a
// clinician are about wear, pain, teeth, bite, or what was signed.
var orders = [NumOrders]orderRow{
	OrderAck:         {practice.Assistant, true, true, (*turn).orderAck},
	OrderNote:        {practice.Assistant, true, true, (*turn).orderNote},
	OrderResolve:     {practice.Assistant, true, true, (*turn).orderResolve},
	OrderHold:        {practice.Assistant, true, false, (*turn).orderHold},
	OrderResume:      {practice.Assistant, true, false, (*turn).orderUnhold},
	OrderConfirm:     {practice.Assistant, true, true, (*turn).orderConfirm},
	OrderDeny:        {practice.Assistant, true, true, (*turn).orderDeny},
	OrderRelease:     {practice.Clinician, true, true, (*turn).orderRelease},
	OrderPlan:        {practice.Clinician, true, false, (*turn).orderPlan},
	OrderGrant:       {practice.Clinician, false, false, (*turn).orderGrant},
	OrderVisit:       {practice.Clinician, false, false, (*turn).orderVisit},
	OrderStep:        {practice.Clinician, false, false, (*turn).orderStep},
	OrderTest:        {practice.Clinician, false, true, (*turn).orderTest},
	OrderTesting:     {practice.Clinician, false, false, (*turn).orderTesting},
	OrderSetting:     {practice.Clinician, false, false, (*turn).orderSetting},
	OrderSteady:      {practice.Clinician, false, false, (*turn).orderSteady},
	OrderRecall:      {practice.Clinician, false, false, (*turn).orderRecall},
	OrderEnd:         {practice.Clinician, true, false, (*turn).orderEnd},
	OrderContact:     {practice.Assistant, true, true, (*turn).orderContact},
	OrderTranscribe:  {practice.Assistant, false, false, (*turn).orderTranscribe},
	OrderRebind:      {practice.Assistant, true, false, (*turn).orderRebind},
	OrderUnbind:      {practice.Assistant, true, true, (*turn).orderUnbind},
	OrderCard:        {practice.Assistant, true, true, (*turn).orderCard},
	OrderReopen:      {practice.Clinician, false, true, (*turn).orderReopen},
	OrderWrongPerson: {practice.Assistant, true, true, (*turn).orderDeny},
	OrderBrief:       {practice.Assistant, true, true, (*turn).orderBrief},
	OrderMove:        {practice.Assistant, true, false, (*turn).orderMove},
	OrderHarmless:    {practice.Assistant, true, true, (*turn).orderHarmless},
	OrderSweep:       {practice.Assistant, true, true, (*turn).sweep},
	OrderTake:        {practice.Assistant, true, true, (*turn).orderAck},
	OrderHand:        {practice.Assistant, true, true, (*turn).orderHand},
}

// order checks who asks and whether it makes sense now, and does it. Who may is
// looked up in the practice, by the person's id; a try that is refused is
// written down.
func (t *turn) order(o Order) {
	if o.Op == OrderNone || o.Op >= NumOrders || orders[o.Op].do == nil {
		return
	}
	row := orders[o.Op]
	who, known := t.pr.ByID(o.Actor.ID)
	refuse := func(line message.Line) {
		t.log("order.refused", message.ArgS("op", o.Op.String()), message.ArgS("by", o.Actor.ID),
			message.ArgS("why", line.Key))
		t.answerTo(o.Chat, who, line)
	}
	switch c := &t.p.Course; {
	case !known || who.Removed:
		refuse(message.Say("order.refused.removed"))
	case who.Role < row.least:
		refuse(message.Say("order.refused.role", message.ArgK("role", "desk.role."+row.least.String())))
	case c.State == chart.Ended && !row.late:
		refuse(message.Say("order.refused.ended", message.ArgS("label", t.p.Label)))
	case c.State <= chart.Consented && !row.early:
		refuse(message.Say("order.refused.early", message.ArgS("label", t.p.Label)))
	case o.Op != OrderBrief && t.stale(o, who):
	default:
		t.log("order."+o.Op.String(), message.ArgS("by", who.ID), message.ArgN("to", int(o.To)),
			message.ArgS("text", reading.Clip(o.Text, quoteMost)))
		row.do(t, o, who)
	}
}

// answer tells whoever ordered what came of it.
func (t *turn) ordered(o Order, who practice.Staff, key string, args ...message.Arg) {
	t.answerTo(o.Chat, who, message.Say(key, append(args, message.ArgS("label", t.p.Label))...))
}

// inform tells the patient what staff changed, as an absolute setting.
func (t *turn) inform(lines ...message.Line) {
	if t.trusted() && t.speaking() {
		t.reply(lines...)
	}
}

// informTonight is inform with tonight's setting, which what staff changed may make
// more cautious.
func (t *turn) informTonight(what message.Line) {
	if t.inform(what); !t.readvise() {
		t.inform(t.tonight())
	}
}

func (t *turn) orderAck(o Order, who practice.Staff) {
	esc := t.escalation(o.Esc)
	if o.Esc == 0 {
		for i := range t.p.Escalations {
			if x := &t.p.Escalations[i]; x.AckBy == "" && (esc == nil || x.Class.Worse(esc.Class)) {
				esc = x
			}
		}
	}
	if esc == nil {
		t.gone(o, who)
		return
	}
	by, ok := t.pr.ByID(esc.AckBy)
	if ok = ok && !by.Removed && esc.AckBy != who.ID; ok && o.Op != OrderTake {
		t.ordered(o, who, "order.ack.taken", message.ArgN("n", int(t.p.Headline(esc.N))), message.ArgS("who", by.Label))
		return
	}
	again, called := esc.AckBy == who.ID, false
	for _, i := range t.p.Item(esc) {
		x := &t.p.Escalations[i]
		called = called || x.Reason == WhyCall && x.AckBy != who.ID
		t.acknowledge(x, who)
	}
	if !esc.Alone() {
		esc = t.p.lead()
	}
	if ok && by.Reachable() {
		t.post(Send{Chat: by.Chat, Lang: by.Lang, Lane: laneOf(esc.Class), Msg: message.Message{Lines: []message.Line{
			message.Say("esc.overtaken", message.ArgN("n", int(t.p.Headline(esc.N))), message.ArgS("label", t.p.Label), message.ArgS("who", who.Label))}}})
	}
	t.ackDone(o, esc, who)
	if o.Op != OrderTake && (!again && esc.Class.Worse(redflag.ClassN) || called) && t.speaking() { // once is enough
		t.say("told.seen")
	}
}

// ackDone tells whoever has taken it, with its card; where that is in the chat already
// it becomes theirs there, and only whom to call is said again.
func (t *turn) ackDone(o Order, esc *Escalation, who practice.Staff) {
	done := message.Say("order.ack.done", message.ArgN("n", int(t.p.Headline(esc.N))))
	switch {
	case !who.Reachable():
		t.answerTo(o.Chat, who, done)
	case !t.p.hasShown(esc.N, who.Chat):
		t.card(who, esc, done)
	case t.p.Phone == "":
		t.answerTo(who.Chat, who, done)
	default:
		t.answerTo(who.Chat, who, done, message.Say("desk.card.phone", message.ArgS("phone", t.p.Phone), message.ArgK("lang", "desk.lang."+t.p.Lang)))
	}
}

func (t *turn) orderNote(o Order, who practice.Staff) {
	if o.Text == "" {
		t.ordered(o, who, "order.text")
		return
	}
	esc := t.escalation(o.Esc)
	if esc == nil {
		esc = t.p.Emergency() // its outcome is what people note then
	}
	t.noted(o, who, esc)
	if esc != nil {
		esc.Notes = min(esc.Notes+1, 9999)
		for _, i := range t.p.Item(esc) {
			t.read(t.p.Escalations[i].N)
		}
	}
	t.ordered(o, who, "order.noted")
}

// orderResolve closes an escalation with an outcome. What is about wear, pain,
// teeth or bite is a clinician's, and an open flag is released first.
func (t *turn) orderResolve(o Order, who practice.Staff) {
	esc := t.escalation(o.Esc)
	switch {
	case t.cannotResolve(o, who):
	case o.Text == "":
		t.ordered(o, who, "order.text")
	default:
		n := esc.N
		t.noted(o, who, esc)
		t.closeItem(esc, who, o.Text)
		t.ordered(o, who, "order.resolved", message.ArgN("n", int(t.p.Headline(n))))
		if lead := t.p.lead(); lead != nil && !lead.Quiet {
			t.ordered(o, who, "order.resolved.rest", message.ArgN("n", int(t.p.Headline(lead.N))))
		}
	}
}

// cannotResolve tells why this person may not resolve an item as it stands; false
// where that is not so.
func (t *turn) cannotResolve(o Order, who practice.Staff) bool {
	esc := t.escalation(o.Esc)
	switch {
	case esc == nil:
		t.gone(o, who)
	case t.p.Closable(esc, who):
		return false
	case who.Role < mayResolve(esc.Reason):
		t.log("order.refused", message.ArgS("op", "resolve"), message.ArgS("by", who.ID), message.ArgS("why", esc.Reason))
		t.ordered(o, who, "order.refused.role", message.ArgK("role", "desk.role.clinician"))
	case t.flagged(esc):
		t.ordered(o, who, "order.resolve.flag", message.ArgN("n", int(t.p.Headline(esc.N))))
	default:
		t.ordered(o, who, "order.resolve.person")
	}
	return true
}

// mayClose reports whether this person may close one escalation now.
func (p *Patient) mayClose(x *Escalation, who practice.Staff) bool {
	return who.Role >= mayResolve(x.Reason) && !p.flagged(x) && (x.Reason != WhyConsent || p.Chat == 0 || p.trusted())
}

// Closable reports whether this person may close anything of an item now.
func (p *Patient) Closable(esc *Escalation, who practice.Staff) bool {
	return slices.ContainsFunc(p.Item(esc), func(i int) bool { return p.mayClose(&p.Escalations[i], who) })
}

// Flagged reports whether a flag that feeds anything of an item is still open.
func (p *Patient) Flagged(esc *Escalation) bool {
	return slices.ContainsFunc(p.Item(esc), func(i int) bool { return p.flagged(&p.Escalations[i]) })
}

// closeItem closes an escalation and what is open with it, as far as this person
// may: the rest keeps its place.
func (t *turn) closeItem(esc *Escalation, who practice.Staff, outcome string) {
	places := t.p.Item(esc)
	for i := len(places) - 1; i >= 0; i-- {
		if x := &t.p.Escalations[places[i]]; t.p.mayClose(x, who) {
			t.close(x.N, who.ID, outcome)
		}
	}
}

// orderHarmless closes what was perhaps a danger. One that was sure, or has a
// flag, is resolved with an outcome.
func (t *turn) orderHarmless(o Order, who practice.Staff) {
	esc := t.escalation(o.Esc)
	switch {
	case esc == nil:
		t.gone(o, who)
	case !esc.Unsure || t.flagged(esc):
		t.ordered(o, who, "order.harmless.not", message.ArgN("n", int(t.p.Headline(esc.N))))
	default:
		n := esc.N
		if k := &t.p.Talk; k.Doubt == esc.Reason {
			k.Ask, k.Doubt, k.DoubtOf = NoAsk, "", ""
			t.clear(doubtName)
		}
		t.close(n, who.ID, "harmless")
		t.ordered(o, who, "order.resolved", message.ArgN("n", int(t.p.Headline(n))))
	}
}

// flagged reports whether a flag that feeds an escalation is still open.
func (t *turn) flagged(esc *Escalation) bool { return t.p.flagged(esc) }

func (p *Patient) flagged(esc *Escalation) bool {
	for i := range p.Course.Flags {
		if f := &p.Course.Flags[i]; f.Esc == esc.N || f.ID == esc.Reason {
			return true
		}
	}
	return false
}

// mayResolve is who may resolve an escalation: silence, counts and the fit of the
// schedule are an assistant's, the rest of the rules and flags a clinician's.
func mayResolve(reason string) practice.Role {
	if row := redflag.Find(reason); row != nil {
		return max(row.Role, practice.Assistant)
	}
	if rule, ok := pacing.RuleNamed(reason); ok {
		return max(rule.Role, practice.Assistant)
	}
	switch reason {
	case WhyReview, WhyPlanEnd, WhyTest, WhyRecall, WhyLetter:
		return practice.Clinician
	}
	return practice.Assistant
}

// byPatient stands for the patient where a deed was the patient's own wish.
const byPatient = "patient"

func (t *turn) orderHold(o Order, who practice.Staff) {
	if t.p.Held {
		t.ordered(o, who, "order.already")
		return
	}
	t.p.Held, t.p.Let = true, 0
	t.p.HeldBy = Deed{By: who.ID, At: t.e.Office, Op: OrderHold, Reason: reading.Clip(o.Text, quoteMost)}
	t.ordered(o, who, "order.held")
	t.informTonight(message.Say("told.held"))
}

func (t *turn) orderUnhold(o Order, who practice.Staff) {
	switch {
	case !t.p.HeldIn(t.pr):
		t.ordered(o, who, "order.already")
		return
	case t.pr.Held && who.Role < practice.Clinician: // as who resumes everything
		t.log("order.refused", message.ArgS("op", o.Op.String()), message.ArgS("by", who.ID), message.ArgS("why", "all"))
		t.ordered(o, who, "order.refused.role", message.ArgK("role", "desk.role.clinician"))
		return
	}
	t.p.Held, t.p.HeldBy = false, Deed{}
	key := "order.unheld"
	if t.pr.Held {
		t.p.Let = t.pr.HoldN
		key = "order.unheld.one"
	}
	t.ordered(o, who, key)
	t.inform(message.Say("told.unheld"), t.tonight())
}

func (t *turn) orderConfirm(o Order, who practice.Staff) {
	if t.p.Chat == 0 || t.p.Consent == "" || t.p.Sure == t.p.Gen {
		t.ordered(o, who, "order.confirm.none")
		return
	}
	t.confirm(who)
	t.ordered(o, who, "order.confirmed")
}

// orderDeny lets a chat go whose person is not the right one. A confirmed
// patient's is let go by name alone (OrderUnbind, OrderRebind, OrderEnd).
func (t *turn) orderDeny(o Order, who practice.Staff) {
	switch {
	case t.p.Chat == 0:
		t.ordered(o, who, "order.confirm.none")
		return
	case t.p.Sure == t.p.Gen:
		t.log("order.refused", message.ArgS("op", o.Op.String()), message.ArgS("by", who.ID), message.ArgS("why", "sure"))
		t.ordered(o, who, "order.deny.sure")
		return
	}
	t.deny(who)
	t.ordered(o, who, "order.denied")
}

func (t *turn) orderCard(o Order, who practice.Staff) {
	if o.Chat != 0 {
		t.post(Send{Chat: o.Chat, Lang: who.Lang, Lane: LaneReply, Msg: message.Message{View: message.ViewCard,
			Subject: t.p.ID}})
	}
}

func (t *turn) orderBrief(o Order, who practice.Staff) {
	if o.Chat != 0 {
		b := BriefOf(t.p, o.Text)
		b.Stale = t.stale(o, who) || o.Flag == OrderResolve.String() && t.cannotResolve(o, who)
		if o.Plan != nil {
			b.Preview, b.Ahead = true, t.ahead(*o.Plan)
		}
		if o.Entry != nil {
			b.Preview, b.Nights = true, t.written(append([]chart.Entry{*o.Entry}, o.More...))
		}
		t.tell(Target{Chat: o.Chat}, b)
	}
}
