package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// text takes what the patient typed: red flags first, then the answer to an
// open question of the path, then the day (daySaid), which hands control words
// to word and everything else to pass.
func (t *turn) text(s Said) {
	t.speaksAgain()
	t.voidCode(&s)
	t.sends(s.Chat, s.Message, s.Media)
	defer t.mediaSeen(&s)
	if t.notOwn(&s) {
		return
	}
	if !t.hear(s) {
		return
	}
	if t.otherCode(&s) {
		return
	}
	if s.Media != "" { // its words are read, a person looks at the rest
		t.media()
	}
	r := &s.Reading
	switch {
	case t.doubtWord(s), t.safetyWord(s), t.toldMore(s):
	case t.pathAnswer(s):
	case t.p.Course.State == chart.Ended:
		t.ended(s)
	case !t.trusted(): // on the way in: words, else where things stand
		if r.Word != reading.NoWord && r.Word != reading.WordStart && r.Word != reading.WordHello &&
			r.Word != reading.WordYes && r.Word != reading.WordNo {
			t.word(r.Word, s)
			return
		}
		t.askedPath()
	default:
		t.daySaid(s)
	}
	if !t.sent() { // no message of a known person goes without an answer
		t.say("help.short")
	}
}

// speaksAgain notes that a chat that could not be reached speaks again.
func (t *turn) speaksAgain() {
	if t.p.Bounced {
		t.p.Bounced = false
		t.closeWhy(WhyBounce, "patient")
		t.tellAgain()
		if t.running() {
			t.startCheckins()
		}
	}
}

// running reports whether check-ins are asked: in every state from settling to
// recall, and while an E or S flag is open, unless the messages are paused.
func (t *turn) running() bool {
	s := t.p.Course.State
	return (s >= chart.Settling && s <= chart.Recall || s == chart.Stopped) && !t.paused()
}

// ended answers somebody whose course has ended; what they say still reaches
// the desk.
func (t *turn) ended(s Said) {
	switch s.Reading.Word {
	case reading.WordData, reading.WordDiary, reading.WordCourse, reading.WordLeave, reading.WordLanguage, reading.WordHelp,
		reading.WordCall:
		t.word(s.Reading.Word, s)
		return
	case reading.WordThanks, reading.WordHello, reading.WordStart:
		t.reply(message.Say("ended.hello", t.numbers()...))
		return
	}
	t.toDesk(redflag.ClassN, WhyAfter, s.Text)
	t.reply(append([]message.Line{message.Say("ended.passed")}, t.whenCalled(redflag.ClassN)...)...)
}

// pathAnswer takes a typed answer to an open question of the path.
func (t *turn) pathAnswer(s Said) bool {
	r := &s.Reading
	k := &t.p.Talk
	if s.Edited {
		return false
	}
	yes, no := r.Word == reading.WordYes, r.Word == reading.WordNo
	switch k.Ask {
	case AskAdult, AskConsent, AskErase:
		if yes || no {
			t.pathChosen(map[bool]string{true: "yes", false: "no"}[yes])
			return true
		}
	case AskNow:
		if yes || no || r.Word == reading.WordNotNow || r.Over {
			t.pathChosen(map[bool]string{true: "yes", false: "no"}[yes])
			return true
		}
	case AskHow:
		if yes || no || r.Word == reading.WordNotNow || r.Over {
			t.howTheyAre(!no)
			return true
		}
	case AskStop:
		if r.Bare.Known() && r.Bare.N() >= 1 && r.Bare.N() <= 3 {
			t.pathChosen(number(int32(r.Bare.N())))
			return true
		}
	case AskLanguage:
		if r.Lang != "" && r.Lang != t.p.Lang && t.setLang(r.Lang) {
			return true
		}
	}
	return false
}

// tap takes a press: of a path's question by its nonce, else of a check-in.
func (t *turn) tap(b Tap) {
	t.speaksAgain()
	switch b.Op {
	case opPath:
		if b.Nonce == "" || b.Nonce != t.p.Talk.Nonce || t.p.Talk.Ask == NoAsk {
			t.say("tap.old")
			t.goOn()
			return
		}
		t.pathChosen(b.Arg)
	case opLang:
		if !t.setLang(b.Arg) {
			t.say("tap.old")
		}
	case opBack:
		t.word(reading.WordResume, Said{})
	case opWho:
		t.wrongPerson()
	default:
		if !t.trusted() || t.p.Course.State == chart.Ended {
			t.say("tap.old")
			return
		}
		t.tapped(b)
	}
	if !t.sent() {
		t.say("tap.old")
	}
}

// pathChosen takes an answer to the open question of the path.
func (t *turn) pathChosen(arg string) {
	k := &t.p.Talk
	switch {
	case arg == "notme" && k.Ask == AskAdult:
		t.wrongPerson()
	case k.Ask == AskAdult:
		t.adult(arg == "yes")
	case k.Ask == AskConsent:
		t.agree(arg == "yes")
	case k.Ask == AskNow:
		t.happening(arg == "yes")
	case k.Ask == AskHow:
		t.howTheyAre(arg == "yes")
	case k.Ask == AskStop:
		t.stopMeant(arg)
	case k.Ask == AskErase:
		t.erase(arg == "yes")
	default:
		t.say("tap.old")
		t.goOn()
	}
}

// happening takes the answer to "is this happening now?". It is for the person
// who calls: nothing is taken back by it.
func (t *turn) happening(now bool) {
	key := "now.gone"
	if now {
		key = "now.still"
	}
	for i := range t.p.Escalations {
		if esc := &t.p.Escalations[i]; number(esc.N) == t.p.Talk.AskArg {
			if now && t.ifNow(esc.Reason) {
				t.log(key, message.ArgN("n", int(esc.N)))
				return
			}
			if now && esc.Class.Worse(redflag.ClassN) && t.ring(esc, false) {
				key = "now.there"
			}
			t.log(key, message.ArgN("n", int(esc.N)))
			t.quotes(esc)
		}
	}
	t.answered()
	t.reply(message.Say(key, t.numbers()...), message.Say("now.kept"))
	t.goOn()
}

// quotes adds what was typed in this turn to what a card quotes, if it is more than yes or no: "it has passed" stands beside what has. It
// pushes out no words that nobody has read.
func (t *turn) quotes(esc *Escalation) {
	if s, ok := t.e.Body.(Said); ok && s.Reading.Word != reading.WordYes && s.Reading.Word != reading.WordNo && !t.overflows(esc, s.Text) {
		esc.Quote = joinWords(esc.Quote, reading.Clip(s.Text, quoteMost), quoteRoom(esc.Reason))
	}
}

// goOn asks again what was open before something came between.
func (t *turn) goOn() {
	switch {
	case t.alarm || t.p.Chat == 0 || t.p.Course.State == chart.Ended:
	case !t.trusted():
		t.askedPath()
	case t.p.Talk.Ask == AskDanger && redflag.Find(t.p.Talk.Doubt) != nil:
		t.doubtStands()
	default:
		t.openAgain()
	}
}

// other takes a message without readable text: it is never read, and never
// left without an answer. What may say something is words that were not
// understood; of the rest a person is told while something is open.
func (t *turn) other(o Other) {
	t.speaksAgain()
	t.sends(o.Chat, o.Message, o.Kind)
	if telling[o.Kind] && t.trusted() && t.p.Course.State != chart.Ended {
		t.toDesk(redflag.ClassN, WhyOther, o.Kind).Unread = true
		t.reply(append([]message.Line{message.Say("other.passed")}, t.whenCalled(redflag.ClassN)...)...)
		t.reply(message.Say("wrong.urgent", t.numbers()...))
		if !t.askSafety() {
			t.goOn()
		}
		return
	}
	urgent := t.p.Talk.Ask == AskNow || t.p.Talk.Ask == AskWrong
	for i := range t.p.Escalations {
		urgent = urgent || t.p.Escalations[i].Class.Worse(redflag.ClassN)
	}
	if urgent {
		t.toDesk(redflag.ClassN, WhyOther, o.Kind)
		t.reply(append([]message.Line{message.Say("other.passed")}, t.whenCalled(redflag.ClassN)...)...)
	} else {
		t.reply(message.Say("other.type"))
	}
	t.goOn()
}
