package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Orders about the plan, the setting and the path. Each is a clinician's.

// refused answers a staff act that the course did not take; true where it was.
func (t *turn) refused(o Order, who practice.Staff, why pacing.Refusal) bool {
	if why == "" {
		return false
	}
	t.log("order.refused", message.ArgS("op", o.Op.String()), message.ArgS("by", who.ID), message.ArgS("why", string(why)))
	t.ordered(o, who, string(why))
	return true
}

// orderRelease releases one flag or all. With the last E or S flag the patient
// goes on, at the setting named, never above the last comfortable one.
func (t *turn) orderRelease(o Order, who practice.Staff) {
	c := &t.p.Course
	var meant []redflag.Flag
	for _, f := range c.Flags {
		if o.Flag == "" || o.Flag == f.ID {
			meant = append(meant, f)
		}
	}
	if len(meant) == 0 {
		t.ordered(o, who, "order.flag.none")
		return
	}
	why := pacing.Done
	if o.Has {
		why = c.Release(t.facts(), t.coming(), o.Flag, o.To)
	} else {
		why = c.ReleaseHere(t.facts(), t.coming(), o.Flag)
	}
	if t.refused(o, who, why) {
		return
	}
	to := c.Advised
	for _, f := range meant {
		t.noted(o, who, &Escalation{N: f.Esc, Reason: f.ID})
		t.log("flag.released", message.ArgS("flag", f.ID), message.ArgS("by", who.ID), message.ArgN("to", int(to)))
		for i := len(t.p.Escalations) - 1; i >= 0; i-- {
			if x := &t.p.Escalations[i]; (x.N == f.Esc || x.Reason == f.ID) && !t.flagged(x) {
				t.close(x.N, who.ID, o.Text)
			}
		}
	}
	t.ordered(o, who, "order.released", message.ArgN("n", int(to)), message.ArgN("count", len(c.Flags)))
	if a := c.Preview(t.facts(), t.coming()); a.Action == chart.LeaveOut { // by another flag, or by this morning's answers
		t.ordered(o, who, "order.released.out", message.ArgD("date", t.coming()))
	}
	if lead := t.p.lead(); lead != nil && !lead.Quiet { // a card had shown it with the flag
		t.ordered(o, who, "order.released.rest", message.ArgN("n", int(t.p.Headline(lead.N))))
	}
	if t.inform(message.Say("told.released")); t.readvise() {
		return
	}
	if slices.ContainsFunc(meant, func(f redflag.Flag) bool { return f.Wear == redflag.WearOut }) {
		t.inform(t.wornAgain()...)
	}
	t.inform(t.tonight())
}

// wornAgain says that it may be worn again after it was to be left out, where tonight is
// a night to wear it.
func (t *turn) wornAgain() []message.Line {
	switch line := t.tonight(); line.Key {
	case "tonight.stay", "tonight.back", "tonight.wait":
		for _, a := range line.Args {
			if a.Name == "n" {
				return []message.Line{message.Say("told.worn", a)}
			}
		}
	}
	return nil
}

// orderPlan signs a new revision. What was made under the old one and waits is
// never sent.
func (t *turn) orderPlan(o Order, who practice.Staff) {
	if o.Plan == nil {
		t.ordered(o, who, "order.text")
		return
	}
	if o.Base != t.p.Plan.Rev {
		t.ordered(o, who, "order.plan.stale", message.ArgN("rev", int(t.p.Plan.Rev)), message.ArgS("who", t.p.Plan.ByName))
		return
	}
	e := BriefOf(t.p, "").Enrolment
	e.Plan = *o.Plan
	e.Plan.Fitted, e.Plan.Rev, e.Plan.Alone = t.p.Plan.Fitted, t.p.Plan.Rev, t.p.Plan.Alone
	if ps := enrol.Check(e); enrol.Refused(ps) {
		lines := []message.Line{message.Say("order.plan.bad")}
		for _, p := range ps {
			if !p.Soft {
				lines = append(lines, p.Say())
			}
		}
		t.answerTo(o.Chat, who, lines...)
		return
	}
	if e.Plan.Ends < t.nights() {
		t.ordered(o, who, "order.plan.over")
		return
	}
	e.Plan.SignedEvening, e.Plan.SignedMorning = 0, 0 // what stands there now is what is signed
	e.Plan.Rev, e.Plan.By, e.Plan.ByName, e.Plan.On = o.Base+1, who.ID, who.Label, t.e.Office.Date
	second := ""
	if s, ok := t.pr.ByID(o.Second); ok && s.ID != who.ID {
		second = s.Label
	}
	was := BriefOf(t.p, "").Enrolment
	t.p.Plan = e.Plan
	t.revised(&was, &e, who.Label, second)
	t.withdraw("prompt")
	t.withdraw("advice")
	t.closeWhy(WhyPlanEnd, who.ID)
	t.log("plan.signed", message.ArgN("rev", int(t.p.Plan.Rev)), message.ArgS("by", who.ID),
		message.ArgS("second", o.Second))
	t.ordered(o, who, "order.plan.done", message.ArgN("rev", int(t.p.Plan.Rev)))
	if t.p.Course.State <= chart.Consented {
		return
	}
	t.p.Course.Renew(t.facts(), t.coming())
	t.planEnd()
	if t.running() && t.trusted() {
		t.startCheckins()
	}
	t.informTonight(message.Say("told.plan"))
	if a := t.p.Course.Advice; t.answer.Advice == 0 && t.trusted() && t.running() && t.speaking() &&
		t.advised(t.coming()) && !t.confirmed(t.coming()) {
		t.tellAdvice(a) // what told it may never have been sent
	}
}

// orderedSetting is the setting an order names, inside what is signed and the travel.
func (t *turn) orderedSetting(o Order, who practice.Staff) (chart.Steps, bool) {
	top := min(t.p.Plan.Limits.Ceiling, t.p.Appliance.Travel)
	if !o.Has || o.To < 0 || o.To > top {
		t.log("order.refused", message.ArgS("op", o.Op.String()), message.ArgS("by", who.ID), message.ArgN("to", int(o.To)))
		t.ordered(o, who, "order.setting.bad", message.ArgN("most", int(top)))
		return 0, false
	}
	return o.To, true
}

func (t *turn) orderGrant(o Order, who practice.Staff) {
	to, ok := t.orderedSetting(o, who)
	if !ok {
		return
	}
	if o.Until != 0 && (o.Until < t.nights() || o.Until > t.p.Plan.Ends) {
		t.ordered(o, who, "order.until.bad", message.ArgD("most", t.p.Plan.Ends))
		return
	}
	if t.refused(o, who, t.p.Course.Grant(t.facts(), t.coming(), to, o.Until, who.ID)) {
		return
	}
	for rule := range pacing.Reviews().All() {
		t.closeWhy(rule.ID(), who.ID)
	}
	t.noted(o, who, nil)
	t.ordered(o, who, "order.granted", message.ArgN("n", int(to)))
	t.informTonight(message.Say("told.granted"))
}

func (t *turn) orderVisit(o Order, who practice.Staff) {
	to, ok := t.orderedSetting(o, who)
	if !ok {
		return
	}
	if t.refused(o, who, t.p.Course.Visit(t.facts(), t.coming(), to)) {
		return
	}
	t.p.Course.Contact(t.coming())
	t.note(t.coming(), chart.FromStaff)
	t.noted(o, who, nil)
	t.ordered(o, who, "order.visited", message.ArgN("n", int(to)))
	t.inform(message.Say("told.visit", message.ArgN("n", int(to))))
	t.readvise()
}

func (t *turn) orderStep(o Order, who practice.Staff) {
	if t.refused(o, who, t.p.Course.Step(t.facts(), t.coming())) {
		return
	}
	t.closeWhy(pacing.P18.ID(), who.ID)
	t.ordered(o, who, "order.stepped")
	t.inform(message.Say("told.step"), t.tonight())
}

func (t *turn) orderTesting(o Order, who practice.Staff) {
	if t.refused(o, who, t.p.Course.Testing(t.coming())) {
		return
	}
	t.closeWhy(pacing.P13.ID(), who.ID)
	t.p.TestOn = o.Until
	t.noted(o, who, nil)
	t.ordered(o, who, "order.testing")
	told := message.Say("told.testing")
	if o.Until != 0 {
		told = message.Say("told.testing.on", message.ArgD("date", o.Until))
	}
	t.informTonight(told)
}

// orderTest records a sleep test. A test counts with its kind, its date and
// whoever interpreted it; what follows from it is the clinician's to order.
func (t *turn) orderTest(o Order, who practice.Staff) {
	x := o.Test
	switch {
	case x == nil, x.On == 0, x.On > t.e.Office.Date, x.Kind == "", x.By == "",
		!x.AHI10.Known() && !x.ODI10.Known(), x.AHI10.Known() && x.Rule == "", x.ODI10.Known() && x.ODIDrop == 0,
		x.AHI10.Known() && x.AHI10.N() < 0, x.ODI10.Known() && x.ODI10.N() < 0, x.Setting < 0,
		x.Setting > t.p.Appliance.Travel:
		t.ordered(o, who, "order.test.bad")
		return
	}
	if t.twice(o, who) || t.refused(o, who, t.p.Course.Tested(t.coming(), x.Setting)) {
		return
	}
	t.noted(o, who, nil)
	const keep = 4
	tests := append(slices.Clone(t.p.Tests), *x)
	t.p.Tests, t.p.TestOn = tests[max(0, len(tests)-keep):], 0
	t.log("test", message.ArgD("on", x.On), message.ArgN("setting", int(x.Setting)), message.ArgS("by", x.By))
	if t.p.Course.State != chart.Ended && o.Chat != 0 { // with the buttons of what is to be decided
		t.post(Send{Chat: o.Chat, Lang: who.Lang, Lane: LaneReply, Msg: message.Message{Lines: []message.Line{message.Say("order.tested",
			message.ArgS("label", t.p.Label))}, View: message.ViewCard, MediaOf: "more", Subject: t.p.ID}})
	} else {
		t.ordered(o, who, "order.tested.ended")
	}
	if t.p.Course.State != chart.Ended {
		t.toDesk(redflag.ClassN, WhyTest, "")
		t.informTonight(message.Say("told.test"))
	}
}

// twice answers who records a test that somebody has recorded already, as two people
// may at once, in words of their own: it counts once. It reports whether it did.
func (t *turn) twice(o Order, who practice.Staff) bool {
	x := o.Test
	if !slices.ContainsFunc(t.p.Tests, func(y chart.SleepTest) bool {
		return y.On == x.On && y.AHI10 == x.AHI10 && y.ODI10 == x.ODI10 && y.Setting == x.Setting && y.InPlace == x.InPlace
	}) {
		return false
	}
	args := []message.Arg{message.ArgD("on", x.On)}
	if by, noted := t.p.NotedFor(OrderTest); noted {
		t.ordered(o, who, "order.tested.by", append(args, t.deed(Deed{By: by.By, At: by.At})...)...)
	} else {
		t.ordered(o, who, "order.tested.twice", args...)
	}
	return true
}

func (t *turn) orderSetting(o Order, who practice.Staff) {
	to, ok := t.orderedSetting(o, who)
	if !ok {
		return
	}
	if t.refused(o, who, t.p.Course.Order(t.facts(), t.coming(), to)) {
		return
	}
	t.closeWhy(WhyTest, who.ID)
	t.noted(o, who, nil)
	t.ordered(o, who, "order.setting", message.ArgN("n", int(to)))
	t.informTonight(message.Say("told.setting")) // a way back is one this evening, though a step was told
	if t.trusted() {
		t.startCheckins()
	}
}

func (t *turn) orderRecall(o Order, who practice.Staff) {
	if t.refused(o, who, t.p.Course.Recall(t.coming())) {
		return
	}
	t.nextMilestone(mileHalf)
	t.ordered(o, who, "order.recall")
	t.inform(message.Say("told.recall"), t.tonight())
}

// orderEnd ends treatment. What is urgent and open stays open until a person
// has resolved it; the physician is written to.
func (t *turn) orderEnd(o Order, who practice.Staff) {
	if o.Text == "" {
		t.ordered(o, who, "order.text")
		return
	}
	if t.refused(o, who, t.p.Course.End()) {
		return
	}
	t.noted(o, who, nil)
	t.inform(message.Say("told.ended", t.numbers()...), message.Say("told.ended.data"))
	t.stopCheckins()
	t.withdrawAll()
	t.closeTalk()
	for _, name := range [...]string{"mile", "planend", "paused", "unused", "zone"} {
		t.clear(name)
	}
	for i := len(t.p.Escalations) - 1; i >= 0; i-- {
		if x := &t.p.Escalations[i]; !x.Class.Worse(redflag.ClassN) || !t.flagged(x) && x.Class == redflag.ClassN {
			t.close(x.N, who.ID, o.Text)
		}
	}
	t.p.Review, t.p.ReviewKind = 0, 0
	t.dropCode()
	if t.p.Physician != "" {
		t.toDesk(redflag.ClassN, WhyLetter, "")
	}
	t.ordered(o, who, "order.ended")
}

// orderReopen brings an ended or paused course back. Where the appliance stands
// is asked first.
func (t *turn) orderReopen(o Order, who practice.Staff) {
	c := &t.p.Course
	switch c.State {
	case chart.Ended:
		if t.refused(o, who, c.Reopen(t.coming())) {
			return
		}
		c.LoseCount()
		t.nextMilestone(mileWeek)
		t.planEnd()
	default:
		if t.paused() {
			t.unpause(who.ID)
			break
		}
		t.ordered(o, who, "order.already")
		return
	}
	if t.p.Plan.Ends < t.nights() {
		t.ordered(o, who, "order.reopened.plan")
		return
	}
	t.ordered(o, who, "order.reopened")
	if t.trusted() {
		t.informTonight(message.Say("told.reopened")) // the count is in doubt
		t.startCheckins()
	}
}
