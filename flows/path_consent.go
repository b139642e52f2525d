package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// ConsentVersion names the text that patients agree to. It changes with the
// meaning of the consent.* texts, and is kept with each agreement.
const ConsentVersion = "1"

// keyPath is the withdrawal key of questions about the path: consent, stop and
// the like. Their buttons go when the question closes.
const keyPath = "path"

// Ops of the buttons of the path's questions.
const (
	opPath = "path"   // Arg says which answer
	opLang = "lang"   // Arg is a language
	opWho  = "notme"  // the patient: this is not me
	opBack = "resume" // go on after a pause
)

// ask opens a question of the path: lines, and buttons that carry its nonce.
// A check-in's question that was open stays where it is and is asked again
// after. In an emergency nothing is asked.
func (t *turn) ask(a Ask, arg string, lines []message.Line, answers ...[2]string) {
	k := &t.p.Talk
	if k.Ask != NoAsk {
		t.withdraw(keyPath)
	}
	k.Ask, k.AskArg, k.Nonce = a, arg, t.fresh(1)
	if t.alarm {
		return
	}
	var rows [][]message.Button
	for _, x := range answers {
		rows = append(rows, []message.Button{{Label: message.Say(x[1]), Op: opPath, Arg: x[0], Nonce: k.Nonce,
			Patient: t.p.ID}})
	}
	t.send(Send{Lane: LaneReply, Key: keyPath, Msg: message.Message{Lines: lines, Inline: rows}})
}

// answered closes the open question of the path.
func (t *turn) answered() {
	t.p.Talk.Ask, t.p.Talk.AskArg, t.p.Talk.Nonce = NoAsk, "", ""
	t.withdraw(keyPath)
}

func (t *turn) askAdult() {
	t.ask(AskAdult, "", []message.Line{message.Say("join.hello", message.ArgS("practice", t.pr.Name)),
		message.Say("consent.adult")},
		[2]string{"yes", "consent.b.adult"}, [2]string{"no", "consent.b.minor"}, [2]string{"notme", "consent.b.notme"})
}

func (t *turn) askConsent() {
	lines := []message.Line{
		message.Say("consent.what", message.ArgS("practice", t.pr.Name)),
		message.Say("consent.sees", message.ArgS("practice", t.pr.Name)),
		message.Say("consent.unwatched"),
		message.Say("consent.emergency", t.numbers()...),
		message.Say("consent.cloud"),
		message.Say("consent.other", t.numbers()...),
		message.Say("consent.stop"),
		message.Say("consent.data"),
		message.Say("consent.agree"),
	}
	t.ask(AskConsent, "", lines, [2]string{"yes", "consent.b.agree"}, [2]string{"no", "consent.b.decline"})
}

// askedPath asks again what is open on the way in, or says where things stand.
func (t *turn) askedPath() {
	switch {
	case t.p.Talk.Ask == AskConsent:
		t.askConsent()
	case t.p.Consent == "":
		t.askAdult()
	case !t.trusted():
		t.say("consent.wait")
	default:
		t.say("join.already")
		t.openAgain()
	}
}

// adult takes the answer to the first question.
func (t *turn) adult(yes bool) {
	if yes {
		t.askConsent()
		return
	}
	t.answered()
	t.toDesk(redflag.ClassN, WhyMinor, "")
	t.unbind("consent.minor")
	t.dropCode()
	t.forgetChat()
}

// agree takes the answer to the second: the version of the text and its
// language are kept with it.
func (t *turn) agree(yes bool) {
	t.answered()
	if !yes {
		t.log("consent.declined", message.ArgS("version", ConsentVersion+"."+t.p.Lang))
		t.toDesk(redflag.ClassN, WhyDecline, "")
		t.unbind("consent.declined")
		t.dropCode()
		t.forgetChat()
		return
	}
	t.p.Consent, t.p.Agreed = ConsentVersion+"."+t.p.Lang, t.e.Wall.Date
	if t.p.Course.State == chart.Invited {
		t.p.Course.State = chart.Consented
	}
	t.log("consent.agreed", message.ArgS("version", t.p.Consent))
	t.reply(message.Say("consent.thanks"), message.Say("consent.wait"))
	t.toDesk(redflag.ClassN, WhyConsent, "")
}

// wrongPerson takes the word of whoever joined that the link was not meant for
// them.
func (t *turn) wrongPerson() {
	t.answered()
	t.toDesk(redflag.ClassS, WhyWrong, "")
	t.unbind("join.ended")
	t.dropCode()
	t.forgetChat()
}
