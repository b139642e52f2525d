package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// join takes the code that a chat gave. It counts once, within its time, and
// only while no other chat is bound.
func (t *turn) join(b Join) {
	refused := func(why string) {
		t.log("join.refused", message.ArgS("why", why))
		t.tell(Target{Chat: b.Chat}, Bound{Refused: true})
	}
	switch {
	case b.Chat == 0 || b.Code == "" || b.Code != t.p.Code || t.p.Course.State == chart.NoState ||
		t.p.Course.State == chart.Ended:
		refused("code")
	case t.p.Chat == b.Chat: // the same person pressed the link again
		t.tell(Target{Chat: b.Chat}, t.bound())
		t.askedPath()
	case t.p.Chat != 0:
		refused("bound")
		t.toDesk(redflag.ClassN, WhySecond, "")
	case t.now() > t.p.CodeEnd:
		refused("ended")
	default:
		t.bind(b)
	}
}

// bind makes the chat the patient's. After a lost phone what was agreed and
// reached stays, but staff confirm the person anew.
func (t *turn) bind(b Join) {
	t.p.Chat, t.p.Gen, t.p.Bounced = b.Chat, max(t.p.Gen+1, b.Gen), false
	t.clear("unused")
	t.closeWhy(WhyUnused, "joined")
	t.tell(Target{Chat: b.Chat}, t.bound())
	t.log("joined", message.ArgN("gen", int(t.p.Gen)))
	t.p.Talk = Talk{Reporter: t.p.Talk.Reporter, Cards: t.p.Talk.Cards, Weekly: t.p.Talk.Weekly, WeeklyA: t.p.Talk.WeeklyA,
		Quiet: t.p.Talk.Quiet}
	t.askAdult()
}

func (t *turn) bound() Bound {
	return Bound{Patient: t.p.ID, Gen: t.p.Gen, Lang: t.p.Lang, Since: t.e.Office.Date}
}

// unbind lets the chat go, with one last neutral message, and closes what was
// open in it. An older generation counts no more.
func (t *turn) unbind(last string) {
	if t.p.Chat == 0 {
		return
	}
	t.stopCheckins()
	t.withdrawAll()
	if last != "" {
		t.send(Send{Chat: t.p.Chat, Lane: LaneReply, Msg: message.Message{Lines: []message.Line{message.Say(last)},
			Plain: true}})
	}
	t.tell(Target{Chat: t.p.Chat}, Bound{Patient: t.p.ID, Gen: t.p.Gen, Freed: true})
	t.log("unbound", message.ArgN("gen", int(t.p.Gen)))
	t.spoke = true // nothing more can be said to it
	t.p.Chat, t.p.Bounced = 0, false
	t.p.Gen++
	t.closeTalk()
}

// closeTalk closes every open question.
func (t *turn) closeTalk() {
	k := &t.p.Talk
	k.CheckIn, k.Open, k.OpenAt, k.Nonce, k.Asked = NoCheckIn, chart.NoField, 0, "", 0
	k.Ask, k.AskArg, k.Edit, k.EditOf, k.EditOn = NoAsk, "", chart.Unknown, chart.NoField, 0
}

// withdrawAll takes back what waits for the patient.
func (t *turn) withdrawAll() {
	for _, key := range [...]string{keyPath, "prompt", "advice"} {
		t.withdraw(key)
	}
}

// forgetChat forgets what the chat that was let go had agreed to: a new one agrees
// and is confirmed for itself. What the course reached stays.
func (t *turn) forgetChat() {
	t.p.Consent, t.p.Agreed, t.p.Sure = "", 0, 0
	if t.p.Course.State == chart.Consented {
		t.p.Course.State = chart.Invited
	}
}

// confirm is the practice's word that this is the right person: now it starts,
// or goes on.
func (t *turn) confirm(who practice.Staff) {
	t.dropCode()
	t.closeWhy(WhyConsent, who.ID)
	t.closeWhy(WhySecond, who.ID)
	t.p.Sure = t.p.Gen
	t.log("confirmed", message.ArgS("by", who.ID), message.ArgN("gen", int(t.p.Gen)))
	switch {
	case t.p.Course.State == chart.Consented:
		t.begin()
	case t.running():
		t.reply(message.Say("begin.again"), t.tonight())
		t.startCheckins()
	default:
		t.say("begin.again")
	}
}

// deny is the practice's word that it is not: the chat is let go.
func (t *turn) deny(who practice.Staff) {
	t.closeWhy(WhyConsent, who.ID)
	t.unbind("join.ended")
	t.dropCode()
	t.forgetChat()
	t.log("denied", message.ArgS("by", who.ID))
}

// begin starts the course: settling, the check-ins, the milestones.
func (t *turn) begin() {
	t.p.Epoch = t.pr.Epoch
	t.p.Course.Begin(t.facts(), max(t.coming(), t.p.Plan.Fitted))
	t.reply(message.Say("begin.hello", message.ArgC("evening", t.p.Plan.Evening),
		message.ArgC("morning", t.p.Plan.Morning)), message.Say("begin.first"), message.Say("begin.how"))
	t.offerCards(reading.HowPutIn, reading.HowTakeOut, reading.HowStep, reading.HowFirstWeek)
	t.startCheckins()
	t.startMilestones()
}
