package flows

// orderRow is one order: who may give it, and when it makes sense.
type orderRow struct {
	least Role
	early bool // before the course has begun
	late  bool // after it has ended
	do    func(*turn, Order, Staff)
}

// orders is the table of what staff may ask of a patient's flow. Those of a
// clinician are about wear, pain, teeth, bite, or what was signed.
var orders = [...]orderRow{
	OrderAck:         {Assistant, true, true, (*turn).orderAck},
	OrderNote:        {Assistant, true, true, (*turn).orderNote},
	OrderResolve:     {Assistant, true, true, (*turn).orderResolve},
	OrderHold:        {Assistant, true, false, (*turn).orderHold},
	OrderResume:      {Assistant, true, false, (*turn).orderUnhold},
	OrderConfirm:     {Assistant, true, true, (*turn).orderConfirm},
	OrderDeny:        {Assistant, true, true, (*turn).orderDeny},
	OrderRelease:     {Clinician, true, true, (*turn).orderRelease},
	OrderPlan:        {Clinician, true, false, (*turn).orderPlan},
	OrderGrant:       {Clinician, false, false, (*turn).orderGrant},
	OrderVisit:       {Clinician, false, false, (*turn).orderVisit},
	OrderStep:        {Clinician, false, false, (*turn).orderStep},
	OrderTest:        {Clinician, false, true, (*turn).orderTest},
	OrderTesting:     {Clinician, false, false, (*turn).orderTesting},
	OrderSetting:     {Clinician, false, false, (*turn).orderSetting},
	OrderSteady:      {Clinician, false, false, (*turn).orderSteady},
	OrderRecall:      {Clinician, false, false, (*turn).orderRecall},
	OrderEnd:         {Clinician, true, false, (*turn).orderEnd},
	OrderContact:     {Assistant, true, true, (*turn).orderContact},
	OrderTranscribe:  {Assistant, false, false, (*turn).orderTranscribe},
	OrderRebind:      {Assistant, true, false, (*turn).orderRebind},
	OrderUnbind:      {Assistant, true, true, (*turn).orderUnbind},
	OrderCard:        {Assistant, true, true, (*turn).orderCard},
	OrderReopen:      {Clinician, false, true, (*turn).orderReopen},
	OrderWrongPerson: {Assistant, true, true, (*turn).orderDeny},
	OrderBrief:       {Assistant, true, true, (*turn).orderBrief},
	OrderMove:        {Assistant, true, false, (*turn).orderMove},
}

// order checks who asks and whether it makes sense now, and does it. Who may is
// looked up in the practice, by the person's id; a try that is refused is
// written down.
func (t *turn) order(o Order) {
	if o.Op == OrderNone || int(o.Op) >= len(orders) || orders[o.Op].do == nil {
		return
	}
	row := orders[o.Op]
	who, known := t.pr.ByID(o.Actor.ID)
	refuse := func(line Line) {
		t.log("order.refused", ArgS("op", o.Op.String()), ArgS("by", o.Actor.ID), ArgS("why", line.Key))
		t.answerTo(o.Chat, who, line)
	}
	switch c := &t.p.Course; {
	case !known || who.Removed:
		refuse(Say("order.refused.removed"))
	case who.Role < row.least:
		refuse(Say("order.refused.role", ArgK("role", "desk.role."+row.least.String())))
	case c.State == Ended && !row.late:
		refuse(Say("order.refused.ended", ArgS("label", t.p.Label)))
	case c.State <= Consented && !row.early:
		refuse(Say("order.refused.early", ArgS("label", t.p.Label)))
	default:
		t.log("order."+o.Op.String(), ArgS("by", who.ID), ArgN("to", int(o.To)), ArgS("text", clip(o.Text, quoteMost)))
		row.do(t, o, who)
	}
}

// answer tells whoever ordered what came of it.
func (t *turn) ordered(o Order, who Staff, key string, args ...Arg) {
	t.answerTo(o.Chat, who, Say(key, append(args, ArgS("label", t.p.Label))...))
}

// inform tells the patient what staff changed, as an absolute setting.
func (t *turn) inform(lines ...Line) {
	if t.trusted() && t.speaking() {
		t.reply(lines...)
	}
}

// readvise works out tonight's advice again where one is in force. Only a more
// cautious one replaces it, and the patient hears the setting at once.
func (t *turn) readvise() {
	c, night := &t.p.Course, t.nights()
	if c.Advice.Night != night || c.Advice.Action == NoAction || t.coming() != night { // a night that is over needs none
		return
	}
	was := c.Advice.Number
	a, rs := c.Advise(t.facts(), night)
	t.raised(rs, "")
	if a.Number == was {
		return
	}
	t.withdraw("advice")
	t.note(night, FromBot)
	t.log("advice.replaced", ArgN("number", int(a.Number)), ArgS("action", a.Action.String()), ArgN("to", int(a.To)), ArgS("rule", a.Rule.ID()))
	if t.trusted() && t.running() {
		t.tellAdvice(a)
	}
}

func (t *turn) orderAck(o Order, who Staff) {
	esc := t.escalation(o.Esc)
	if o.Esc == 0 {
		for i := range t.p.Escalations {
			if x := &t.p.Escalations[i]; x.AckBy == "" && (esc == nil || x.Class.Worse(esc.Class)) {
				esc = x
			}
		}
	}
	if esc == nil {
		t.ordered(o, who, "order.esc.gone")
		return
	}
	if by, ok := t.pr.ByID(esc.AckBy); ok && !by.Removed && esc.AckBy != who.ID {
		t.ordered(o, who, "order.ack.taken", ArgN("n", int(esc.N)), ArgS("who", by.Label))
		return
	}
	again := esc.AckBy == who.ID
	t.acknowledge(esc, who)
	if who.Reachable() {
		t.card(who, esc, Say("order.ack.done", ArgN("n", int(esc.N))))
	} else {
		t.ordered(o, who, "order.ack.done", ArgN("n", int(esc.N)))
	}
	if !again && (esc.Class.Worse(ClassN) || esc.Reason == WhyCall) && t.speaking() {
		t.say("told.seen")
	}
}

func (t *turn) orderNote(o Order, who Staff) {
	if o.Text == "" {
		t.ordered(o, who, "order.text")
		return
	}
	if esc := t.escalation(o.Esc); esc != nil {
		esc.Notes = min(esc.Notes+1, 9999)
	}
	t.ordered(o, who, "order.noted")
}

// orderResolve closes an escalation with an outcome. What is about wear, pain,
// teeth or bite is a clinician's, and an open flag is released first.
func (t *turn) orderResolve(o Order, who Staff) {
	esc := t.escalation(o.Esc)
	switch {
	case esc == nil:
		t.ordered(o, who, "order.esc.gone")
	case o.Text == "":
		t.ordered(o, who, "order.text")
	case who.Role < needed(esc.Reason):
		t.log("order.refused", ArgS("op", "resolve"), ArgS("by", who.ID), ArgS("why", esc.Reason))
		t.ordered(o, who, "order.refused.role", ArgK("role", "desk.role.clinician"))
	case t.flagged(esc):
		t.ordered(o, who, "order.resolve.flag", ArgN("n", int(esc.N)))
	case esc.Reason == WhyConsent && t.p.Chat != 0 && !t.trusted():
		t.ordered(o, who, "order.resolve.person")
	default:
		n := esc.N
		t.close(n, who.ID, o.Text)
		t.ordered(o, who, "order.resolved", ArgN("n", int(n)))
	}
}

// flagged tells whether a flag that feeds an escalation is still open.
func (t *turn) flagged(esc *Escalation) bool {
	for i := range t.p.Course.Flags {
		if f := &t.p.Course.Flags[i]; f.Esc == esc.N || f.ID == esc.Reason {
			return true
		}
	}
	return false
}

// needed is who may resolve an escalation: silence, counts and the fit of the
// schedule are an assistant's, the rest of the rules and flags a clinician's.
func needed(reason string) Role {
	if row, ok := FlagRow(reason); ok {
		return max(row.Role, Assistant)
	}
	if len(reason) == 3 && reason[0] == 'P' {
		return max(RuleRow(Rule((reason[1]-'0')*10+reason[2]-'0')).Role, Assistant)
	}
	switch reason {
	case WhyReview, WhyPlanEnd, WhyTest, WhyRecall, WhyLetter:
		return Clinician
	}
	return Assistant
}

func (t *turn) orderHold(o Order, who Staff) {
	if t.p.Held {
		t.ordered(o, who, "order.already")
		return
	}
	t.p.Held = true
	t.ordered(o, who, "order.held")
	t.inform(Say("told.held"), t.tonight())
	t.readvise()
}

func (t *turn) orderUnhold(o Order, who Staff) {
	if !t.p.Held {
		t.ordered(o, who, "order.already")
		return
	}
	t.p.Held = false
	t.ordered(o, who, "order.unheld")
	t.inform(Say("told.unheld"), t.tonight())
}

func (t *turn) orderConfirm(o Order, who Staff) {
	if t.p.Chat == 0 || t.p.Consent == "" || t.p.Sure == t.p.Gen {
		t.ordered(o, who, "order.confirm.none")
		return
	}
	t.confirm(who)
	t.ordered(o, who, "order.confirmed")
}

func (t *turn) orderDeny(o Order, who Staff) {
	if t.p.Chat == 0 {
		t.ordered(o, who, "order.confirm.none")
		return
	}
	t.deny(who)
	t.ordered(o, who, "order.denied")
}

func (t *turn) orderCard(o Order, who Staff) {
	if o.Chat != 0 {
		t.post(Send{Chat: o.Chat, Lang: who.Lang, Lane: LaneReply, Msg: Message{View: ViewCard, Subject: t.p.ID}})
	}
}

func (t *turn) orderBrief(o Order, _ Staff) {
	if o.Chat != 0 {
		t.tell(Target{Chat: o.Chat}, BriefOf(t.p, o.Text))
	}
}
