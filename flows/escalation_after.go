package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// What follows an emergency, and what is said whenever it is left out.

// Emergency is the newest emergency of the patient's own that nobody has yet
// taken and noted the outcome of; nil where there is none. While there is one
// the ordinary check-ins wait.
func (p *Patient) Emergency() *Escalation {
	for i := len(p.Escalations) - 1; i >= 0; i-- {
		esc := &p.Escalations[i]
		if row := redflag.Find(esc.Reason); esc.Class == redflag.ClassE && !esc.Unsure && (row == nil || !row.Beside) &&
			(esc.AckBy == "" || esc.Notes == 0) {
			return esc
		}
	}
	return nil
}

// eveningAfter stands in place of an evening's check-in: that the practice
// knows, and what to do if it is not over. It reports whether there was cause.
func (t *turn) eveningAfter(night civil.Date) bool {
	if t.p.Emergency() == nil {
		return false
	}
	t.markAsked(night, oursEvening)
	t.endCheckIn()
	if t.commit(night, true); t.quiet() {
		return true
	}
	t.reply(message.Say("emergency.evening", t.numbers()...))
	a := &t.p.Course.Advice
	if t.tellSetting(a); a.Action == chart.LeaveOut {
		t.reply(append(t.staysOut(), t.instead()...)...)
	}
	t.answer.Advice, t.answer.Plan, t.answer.Key = a.Number, t.p.Plan.Rev, "advice"
	t.plain()
	t.prompt(LanePrompt, LateEvening, "prompt")
	return true
}

// morningAfter asks how they are in place of a morning's check-in.
func (t *turn) morningAfter(night civil.Date) bool {
	esc, k := t.p.Emergency(), &t.p.Talk
	if esc == nil {
		k.Unheard = 0
		return false
	}
	if k.Ask == AskHow { // yesterday's question stands
		k.Unheard = min(k.Unheard+1, 999)
	} else {
		k.Unheard = 0
	}
	t.markAsked(night, oursMorning)
	t.endCheckIn()
	t.askHow(esc.N)
	return true
}

func (t *turn) askHow(n int32) {
	t.ask(AskHow, number(n), append([]message.Line{message.Say("emergency.morning", t.numbers()...)}, t.staysOut()...),
		[2]string{"yes", "emergency.b.over"}, [2]string{"no", "emergency.b.not"})
}

// howTheyAre takes the answer to it. What is not over is an emergency again.
func (t *turn) howTheyAre(over bool) {
	var esc *Escalation
	for i := range t.p.Escalations {
		if x := &t.p.Escalations[i]; number(x.N) == t.p.Talk.AskArg {
			esc = x
		}
	}
	t.answered()
	switch {
	case esc == nil: // closed meanwhile
		t.reply(append([]message.Line{message.Say("emergency.over", t.numbers()...)}, t.staysOut()...)...)
		t.goOn()
	case over:
		t.log("emergency.over", message.ArgN("n", int(esc.N)))
		t.quotes(esc)
		if s, ok := t.pr.ByID(esc.AckBy); ok && s.Reachable() {
			t.card(s, esc, message.Say("esc.over", message.ArgN("n", int(t.p.Headline(esc.N)))))
		}
		t.reply(append([]message.Line{message.Say("emergency.over", t.numbers()...)}, t.staysOut()...)...)
		t.goOn()
	default:
		t.log("emergency.not", message.ArgN("n", int(esc.N)))
		reason := esc.Reason
		esc.AckBy, esc.AckAt, esc.Rings, esc.Notes = "", 0, 0, 0
		t.firstRing(esc)
		if row := redflag.Find(reason); row != nil {
			t.alarm, t.act = true, row.Caution
			t.tells(esc, row.Caution)
			t.hushAll()
			t.urgent(message.Say(emergencyLine, t.numbers()...), message.Say(row.Caution, t.numbers()...))
		}
	}
}

// ifNow raises what a row becomes where the patient says that it happens now;
// it reports whether there is such a row.
func (t *turn) ifNow(reason string) bool {
	row := redflag.Find(reason)
	if row == nil || row.IfNow == "" {
		return false
	}
	t.answered()
	t.raise(t.p.Course.Raise(t.facts(), t.e.Wall, row.IfNow), "")
	return true
}

// instead is what is said whenever it is to be left out: what else to use, and
// that nobody drives when sleepy.
func (t *turn) instead() []message.Line {
	return []message.Line{otherLine(t.pr, &t.p.Plan), message.Say("advice.nodrive")}
}

// leftOut is the same where one of what was raised has it left out, and no
// advice that says so follows.
func (t *turn) leftOut(rs []redflag.Raised) []message.Line {
	if t.advising || t.advised(t.coming()) {
		return nil
	}
	for i := range rs {
		if rs[i].Flag && rs[i].Wear >= redflag.WearTonight {
			return t.instead()
		}
	}
	return nil
}

// staysOut says, where a flag has it left out until it is released, that it stays out
// until the practice has looked at it: an emergency's own reply does not say so, and
// "tonight" alone could be read as one night.
func (t *turn) staysOut() []message.Line {
	if !t.p.Course.LeftOut() {
		return nil
	}
	t.p.Talk.OutOn = t.e.Wall.Date
	return []message.Line{message.Say("out.stays")}
}

// wornAnyway answers who says that it was worn in a night for which it was to be left out
// until released: every time what holds, and staff hear of it once, in the open item.
func (b *dayAnswers) wornAnyway() {
	t := b.t
	if !t.p.Course.LeftOut() {
		return
	}
	for i := range b.saved[:b.n] {
		x := &b.saved[i]
		e, _ := t.p.Course.Entry(x.night)
		if said := x.field == chart.Worn || x.field == chart.WornMinutes && !e.V[chart.Worn].Known(); !said || !e.LeftOut() || !e.WornSome() {
			continue
		}
		t.tells(t.toDesk(redflag.ClassN, WhyWorn, ""), "out.worn")
		t.reply(message.Say("out.worn", t.numbers()...))
		t.reply(append(t.staysOut(), message.Say("out.call", t.numbers()...))...)
		return
	}
}

// otherLine names the plan's other therapy; where there is none, the practice's
// words for that.
func otherLine(pr *practice.Practice, plan *chart.Plan) message.Line {
	switch {
	case plan.Fallback != "":
		return message.Say("advice.other", message.ArgS("fallback", plan.Fallback))
	case pr.NoOther != "":
		return message.Say("advice.noother.own", message.ArgS("text", reading.Clip(pr.NoOther, quoteMost)))
	}
	return message.Say("advice.noother")
}

// LeftOutNights is how many nights running that it was left out by advice go to
// the clinician: design of this program, common practice, no source.
const LeftOutNights = 2

// countLeftOut tells the clinician of nights left out running, with tonight:
// somebody without treatment, and perhaps without any other.
func (t *turn) countLeftOut(night civil.Date) {
	n := 0
	for d := night; ; d-- {
		e, ok := t.p.Course.Entry(d)
		if !ok || e.Action != chart.LeaveOut || e.WornSome() { // worn anyway: somebody hears that instead
			break
		}
		n++
	}
	if n >= LeftOutNights && (n-LeftOutNights)%WeekDays == 0 {
		t.toDesk(redflag.ClassN, WhyLeftOut, "")
	}
}
