package flows

import "strconv"

// word takes a control word or command. Undo, skip and the answers of the
// check-ins are theirs and do not come here.
func (t *turn) word(w Word, s Said) {
	switch {
	case t.trusted():
	case w == WordDiary || w == WordData || w == WordResume: // nobody has said yet that this is the right person
		t.notYet()
		return
	}
	switch w {
	case WordHelp:
		t.help()
		t.goOn()
	case WordToday:
		t.reply(t.tonight())
		t.goOn()
	case WordPause:
		t.pause()
	case WordResume:
		t.resume()
	case WordStop:
		t.stop()
	case WordCall:
		t.callMe(s.Text)
		t.goOn()
	case WordHow:
		t.how(s.Reading.Topic)
	case WordDiary:
		t.diary()
	case WordData:
		t.data()
	case WordLeave:
		t.leave()
	case WordLanguage:
		t.language()
	case WordStart, WordHello:
		t.reply(Say("hello.text", t.numbers()...), Say("help.short"))
		t.goOn()
	case WordThanks:
		t.say("hello.thanks")
		t.goOn()
	case WordNotNow: // no danger was asked about: nothing to take back
		t.say("now.kept")
		t.goOn()
	default: // yes or no without a question, and the desk's words
		t.say("help.unasked")
		t.goOn()
	}
}

// notYet says how far the way in has come, in place of what only the patient
// may see or undo.
func (t *turn) notYet() {
	if t.p.Course.State == Ended {
		t.say("consent.wait")
		return
	}
	t.askedPath()
}

// help says what this chat is not, whom to call, and what can be typed.
func (t *turn) help() {
	m := t.reply(Say("help.unwatched", t.numbers()...), Say("help.emergency", t.numbers()...), Say("help.net"), Say("help.day"), Say("help.words"))
	m.Choices = [][]Choice{{{Word: WordToday}, {Word: WordHow}}, {{Word: WordCall}, {Word: WordDiary}}, {{Word: WordPause}, {Word: WordStop}}}
	t.p.Talk.Warned = t.e.Wall.Date
}

// pass hands a text that is no answer to the desk, and says so: nobody watches
// this chat.
func (t *turn) pass(s Said) {
	if s.Reading.Symbols || s.Text == "" {
		t.say("help.short")
		t.goOn()
		return
	}
	t.desk(ClassN, WhyMessage, s.Text)
	t.reply(append([]Line{Say("pass.told", t.numbers()...)}, t.when(ClassN)...)...)
	t.p.Talk.Warned = t.e.Wall.Date
	t.goOn()
}

func (t *turn) callMe(text string) {
	t.desk(ClassN, WhyCall, text)
	t.reply(append([]Line{Say("call.told")}, t.when(ClassN)...)...)
	if t.p.Phone != "" && t.trusted() {
		t.reply(Say("call.number", ArgS("phone", t.p.Phone)))
	}
}

// tonight is tonight's setting, always absolute. Before the evening's advice
// it is the last confirmed one, unless the rules would already have less.
func (t *turn) tonight() Line {
	c, night := &t.p.Course, t.coming()
	on := ArgD("date", night)
	at := ArgN("n", int(c.Left))
	switch {
	case !t.trusted():
		return Say("tonight.notyet")
	case c.State == Ended || t.p.Plan.Ends != 0 && night > t.p.Plan.Ends:
		return Say("tonight.ended", at)
	case t.facts().Restored:
		return Say("restore.night", on)
	}
	a := c.Advice
	if a.Night != night || a.Action == NoAction {
		a = c.Preview(t.facts(), night)
		if a.Action > GoBack && !t.weekly() || a.Action == NoAction { // it is not yet sure: the evening's answers count
			return Say("tonight.wait", on, at, ArgC("evening", t.p.Plan.Evening))
		}
	}
	return adviceLine(a)
}

// adviceLine is an advice in one line: the night and the setting.
func adviceLine(a Advice) Line {
	key := "tonight.stay"
	switch a.Action {
	case LeaveOut:
		key = "tonight.out"
	case GoBack:
		key = "tonight.back"
	case Forward:
		key = "tonight.forward"
	}
	return Say(key, ArgD("date", a.Night), ArgN("n", int(a.To)))
}

// diaryNights is how many nights one message shows.
const diaryNights = 14

// diary shows the patient's own last nights, the newest last.
func (t *turn) diary() {
	c := &t.p.Course
	nights := c.Nights[max(0, int(c.N)-diaryNights):c.N]
	if len(nights) == 0 {
		t.say("diary.empty")
		t.goOn()
		return
	}
	t.reply(Say("diary.head", ArgN("count", len(nights))))
	for i := range nights {
		e := &nights[i]
		t.reply(Say("diary.night", ArgD("date", e.Night), ArgS("setting", mark(e.At(SettingLeft))), ArgK("worn", wornKey(e)),
			ArgS("snoring", mark(e.At(Snoring))), ArgS("pain", mark(e.At(Pain)))))
	}
	t.reply(Say("diary.key"))
	t.goOn()
}

func mark(v Value) string {
	if v.Known() {
		return strconv.Itoa(v.N())
	}
	return "–"
}

func wornKey(e *Entry) string {
	switch v := e.At(Worn); {
	case v.Is(WornAll):
		return "diary.worn.all"
	case v.Is(WornPart):
		return "diary.worn.part"
	case v.Is(WornNo):
		return "diary.worn.no"
	}
	return "diary.worn.unknown"
}

// data sends the patient's own diary as a table.
func (t *turn) data() {
	t.log("data.sent")
	t.send(Send{Lane: LaneReply, Once: true, Msg: Message{Lines: []Line{Say("data.here")}, Media: "diary.csv", Subject: t.p.ID}})
	t.goOn()
}

// leave asks before it passes on that everything is to be erased; a person at
// the practice decides what the law there lets go.
func (t *turn) leave() {
	t.ask(AskErase, "", []Line{Say("leave.what", t.numbers()...), Say("leave.ask")}, [2]string{"yes", "leave.b.yes"}, [2]string{"no", "leave.b.no"})
}

func (t *turn) erase(yes bool) {
	t.answered()
	if !yes {
		t.say("leave.stay")
		t.goOn()
		return
	}
	t.desk(ClassN, WhyLeave, "")
	t.log("leave.asked")
	t.still()
	t.reply(append([]Line{Say("leave.passed"), Say("pause.keep", t.numbers()...)}, t.when(ClassN)...)...)
}

// language offers the languages there are.
func (t *turn) language() {
	var rows [][]Button
	for _, l := range t.pr.Langs {
		rows = append(rows, []Button{{Label: Say("lang." + l), Op: opLang, Arg: l, Patient: t.p.ID}})
	}
	t.p.Talk.Ask, t.p.Talk.AskArg = AskLanguage, ""
	t.send(Send{Lane: LaneReply, Key: keyPath, Msg: Message{Lines: []Line{Say("lang.ask")}, Inline: rows}})
}

// setLang changes the patient's language; false where there are no words in it.
func (t *turn) setLang(lang string) bool {
	for _, l := range t.pr.Langs {
		if l == lang {
			t.p.Lang = lang
			t.answered()
			t.log("lang", ArgS("lang", lang))
			if t.p.Chat != 0 {
				t.tell(Target{Chat: t.p.Chat}, t.bound())
			}
			t.say("lang.set")
			t.goOn()
			return true
		}
	}
	return false
}
