package flows

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
func (t *turn) ask(a Ask, arg string, lines []Line, answers ...[2]string) {
	k := &t.p.Talk
	if k.Ask != NoAsk {
		t.withdraw(keyPath)
	}
	k.Ask, k.AskArg, k.Nonce = a, arg, t.fresh(1)
	if t.alarm {
		return
	}
	var rows [][]Button
	for _, x := range answers {
		rows = append(rows, []Button{{Label: Say(x[1]), Op: opPath, Arg: x[0], Nonce: k.Nonce, Patient: t.p.ID}})
	}
	t.send(Send{Lane: LaneReply, Key: keyPath, Msg: Message{Lines: lines, Inline: rows}})
}

// answered closes the open question of the path.
func (t *turn) answered() {
	t.p.Talk.Ask, t.p.Talk.AskArg, t.p.Talk.Nonce = NoAsk, "", ""
	t.withdraw(keyPath)
}

func (t *turn) askAdult() {
	t.ask(AskAdult, "", []Line{Say("join.hello", ArgS("practice", t.pr.Name)), Say("consent.adult")},
		[2]string{"yes", "consent.b.adult"}, [2]string{"no", "consent.b.minor"}, [2]string{"notme", "consent.b.notme"})
}

func (t *turn) askConsent() {
	lines := []Line{
		Say("consent.what", ArgS("practice", t.pr.Name)),
		Say("consent.sees", ArgS("practice", t.pr.Name)),
		Say("consent.unwatched"),
		Say("consent.emergency", t.numbers()...),
		Say("consent.cloud"),
		Say("consent.other", t.numbers()...),
		Say("consent.stop"),
		Say("consent.data"),
		Say("consent.agree"),
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
	t.desk(ClassN, WhyMinor, "")
	t.unbind("consent.minor")
	t.dropCode()
	t.away()
}

// agree takes the answer to the second: the version of the text and its
// language are kept with it.
func (t *turn) agree(yes bool) {
	t.answered()
	if !yes {
		t.log("consent.declined", ArgS("version", ConsentVersion+"."+t.p.Lang))
		t.desk(ClassN, WhyDecline, "")
		t.unbind("consent.declined")
		t.dropCode()
		t.away()
		return
	}
	t.p.Consent, t.p.Agreed = ConsentVersion+"."+t.p.Lang, t.e.Wall.Date
	if t.p.Course.State == Invited {
		t.p.Course.State = Consented
	}
	t.log("consent.agreed", ArgS("version", t.p.Consent))
	t.reply(Say("consent.thanks"), Say("consent.wait"))
	t.desk(ClassN, WhyConsent, "")
}

// wrongPerson takes the word of whoever joined that the link was not meant for
// them.
func (t *turn) wrongPerson() {
	t.answered()
	t.desk(ClassS, WhyWrong, "")
	t.unbind("join.ended")
	t.dropCode()
	t.away()
}
