package flows

import (
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// word takes a control word or command. Undo, skip and the answers of the
// check-ins are theirs and do not come here.
func (t *turn) word(w reading.Word, s Said) {
	switch {
	case t.trusted():
	case w == reading.WordDiary || w == reading.WordCourse || w == reading.WordData || w == reading.WordResume:
		// nobody has said yet that this is the right person
		t.notYet()
		return
	}
	switch w {
	case reading.WordHelp:
		t.help()
		if t.trusted() && !strings.HasPrefix(s.Text, "/") { // somebody may be calling for it
			t.toDesk(redflag.ClassN, WhyMessage, s.Text)
			t.say("help.told")
		}
		t.goOn()
	case reading.WordToday:
		if t.stepHeld() {
			return
		}
		line := t.tonight()
		switch t.reply(line); line.Key {
		case "tonight.out":
			t.reply(append(t.staysOut(), t.instead()...)...)
		case "tonight.stay", "tonight.back", "tonight.forward", "tonight.wait":
			t.tellMillimetres(line)
		}
		t.goOn()
	case reading.WordPause:
		t.pause()
	case reading.WordResume:
		t.resume()
	case reading.WordStop:
		t.stop()
	case reading.WordCall:
		t.callMe(s.Text)
		t.goOn()
	case reading.WordHow:
		t.how(s.Reading.Topic)
	case reading.WordDiary:
		t.diary()
	case reading.WordCourse:
		t.course()
	case reading.WordData:
		t.data()
	case reading.WordLeave:
		t.leave()
	case reading.WordLanguage:
		t.language()
	case reading.WordStart, reading.WordHello:
		t.reply(message.Say("hello.text", t.numbers()...), message.Say("help.short"))
		t.goOn()
	case reading.WordThanks:
		t.say("hello.thanks")
		t.goOn()
	case reading.WordNotNow: // nothing is taken back by it; without a danger it is small talk
		switch n := len(t.p.Escalations); {
		case t.happeningWords(false):
		case n > 0: // of whatever it is, people have it with the words before
			t.quotes(&t.p.Escalations[n-1])
			t.say("now.kept")
			t.goOn()
		default:
			t.reply(message.Say("now.none", t.numbers()...))
			t.goOn()
		}
	default: // yes or no without a question, and the desk's words
		t.say("help.unasked")
		t.goOn()
	}
}

// notYet says how far the way in has come, in place of what only the patient
// may see or undo.
func (t *turn) notYet() {
	if t.p.Course.State == chart.Ended {
		t.say("consent.wait")
		return
	}
	t.askedPath()
}

// help says what this chat is not, whom to call, and what can be typed.
func (t *turn) help() {
	m := t.reply(message.Say("help.unwatched", t.numbers()...), message.Say("help.emergency", t.numbers()...),
		message.Say("help.net"), message.Say("help.day"), message.Say("help.words"))
	m.Choices = [][]message.Choice{{{Word: reading.WordToday}, {Word: reading.WordHow}},
		{{Word: reading.WordDiary}, {Word: reading.WordCourse}},
		{{Word: reading.WordCall}, {Word: reading.WordPause}, {Word: reading.WordStop}}}
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
	t.words = true
	esc := t.toDesk(redflag.ClassN, WhyMessage, s.Text)
	esc.Unread, t.words = true, esc.Quiet
	if asked := s.Reading.Topic; asked != reading.NoTopic && !t.withholds(asked) { // a card answers it; people read it all the same (P19)
		t.showCard(asked)
	}
	t.reply(append([]message.Line{message.Say("pass.told", t.numbers()...)}, t.whenCalled(redflag.ClassN)...)...)
	t.words = false
	if !s.Reading.Calm || s.Reading.Hedges&reading.HedgeQuestion != 0 || strings.Contains(s.Text, "?") || t.p.Talk.OutOn != t.e.Wall.Date { // the words may ask whether to wear it
		t.reply(t.staysOut()...)
	}
	t.reply(message.Say("wrong.urgent", t.numbers()...))
	t.p.Talk.Warned = t.e.Wall.Date
	if s.Reading.Calm || s.Reading.Sure|s.Reading.Unsure != 0 || !t.askSafety() {
		t.goOn()
	}
}

func (t *turn) callMe(text string) {
	t.tells(t.toDesk(redflag.ClassN, WhyCall, text), "call.told")
	t.reply(append([]message.Line{message.Say("call.told")}, t.whenAsked()...)...)
	if t.p.Phone != "" && t.trusted() {
		t.reply(message.Say("call.number", message.ArgS("phone", t.p.Phone)))
	}
}

// tonight is tonight's setting, always absolute. Before the evening's advice
// it is the last confirmed one, unless the rules would already have less.
func (t *turn) tonight() message.Line {
	c, night := &t.p.Course, t.coming()
	on := message.ArgD("date", night)
	at := message.ArgN("n", int(c.Left))
	switch {
	case !t.trusted():
		return message.Say("tonight.notyet")
	case c.State == chart.Ended || t.p.Plan.Ends != 0 && night > t.p.Plan.Ends && !t.weekly():
		return message.Say("tonight.ended", at)
	case t.facts().Restored:
		return message.Say("restore.night", on)
	}
	a := c.Advice
	if a.Night != night || a.Action == chart.NoAction {
		a = c.Preview(t.facts(), night)
		if unsettled(a) && !t.weekly() || a.Action == chart.NoAction {
			return message.Say("tonight.wait", on, at, message.ArgC("evening", t.p.Plan.Evening))
		}
	}
	return adviceLine(a)
}

// unsettled reports whether what the rules would say is not yet sure: the evening's
// answers count.
func unsettled(a chart.Advice) bool { return a.Action > chart.GoBack || a.Action == chart.NoAction }

// Ahead is what the patient was told of a night whose evening is to come, where a person
// has named the setting for it since the last advice: a release, a visit. Until that
// evening what is not sure is a stay.
func (p *Patient) Ahead(pr *practice.Practice) (chart.Advice, bool) {
	c := &p.Course
	if c.Named <= c.Advice.Night || c.Advice.Action == chart.NoAction || !p.trusted() || c.State == chart.Ended {
		return chart.Advice{}, false
	}
	a := c.Preview(p.Facts(pr, &Event{}), c.Named)
	if unsettled(a) {
		a.Night, a.Action, a.To = c.Named, chart.Stay, c.Left
	}
	return a, true
}

// tellMillimetres says how far from fitting day the setting is that a line names.
func (t *turn) tellMillimetres(line message.Line) {
	for _, a := range line.Args {
		if step := t.p.Appliance.Step; a.Name == "n" && step > 0 {
			t.reply(t.line("advice.mm", message.ArgUM("mm", chart.Micrometres(a.N)*step)))
		}
	}
}

// adviceLine is an advice in one line: the night and the setting.
func adviceLine(a chart.Advice) message.Line {
	key := "tonight.stay"
	switch a.Action {
	case chart.LeaveOut:
		key = "tonight.out"
	case chart.GoBack:
		key = "tonight.back"
	case chart.Forward:
		key = "tonight.forward"
	}
	return message.Say(key, message.ArgD("date", a.Night), message.ArgN("n", int(a.To)))
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
	t.reply(message.Say("diary.head", message.ArgN("count", len(nights))))
	for i := range nights {
		e := &nights[i]
		key, worn := "diary.night", message.ArgK("worn", wornKey(e))
		if m := e.At(chart.WornMinutes); m.Known() && !e.At(chart.Worn).Is(chart.WornNo) {
			key, worn = "diary.hours", message.Arg{Name: "worn", Kind: message.ArgMinutes, N: int64(m.N())}
		}
		t.reply(message.Say(key, message.ArgD("date", e.Night), message.ArgS("setting", mark(e.At(chart.SettingLeft))), worn,
			message.ArgS("snoring", mark(e.At(chart.Snoring))), message.ArgS("pain", mark(e.At(chart.Pain)))))
	}
	t.reply(message.Say("diary.key"))
	t.goOn()
}

func mark(v chart.Answer) string {
	if v.Known() {
		return strconv.Itoa(v.N())
	}
	return "–"
}

func wornKey(e *chart.Entry) string {
	switch v := e.At(chart.Worn); {
	case v.Is(chart.WornAll):
		return "diary.worn.all"
	case v.Is(chart.WornPart):
		return "diary.worn.part"
	case v.Is(chart.WornNo):
		return "diary.worn.no"
	}
	return "diary.worn.unknown"
}

// data sends the patient's own diary as a table.
func (t *turn) data() {
	t.log("data.sent")
	t.send(Send{Lane: LaneReply, Once: true, Msg: message.Message{Lines: []message.Line{message.Say("data.here")},
		Media: "diary.csv", Subject: t.p.ID}})
	t.goOn()
}

// leave asks before it passes on that everything is to be erased; a person at
// the practice decides what the law there lets go.
func (t *turn) leave() {
	t.ask(AskErase, "", []message.Line{message.Say("leave.what", t.numbers()...), message.Say("leave.ask")},
		[2]string{"yes", "leave.b.yes"}, [2]string{"no", "leave.b.no"})
}

func (t *turn) erase(yes bool) {
	t.answered()
	if !yes {
		t.say("leave.stay")
		t.goOn()
		return
	}
	t.toDesk(redflag.ClassN, WhyLeave, "")
	t.log("leave.asked")
	t.fallSilent()
	t.reply(append([]message.Line{message.Say("leave.passed"), message.Say("pause.keep", t.numbers()...)},
		t.whenCalled(redflag.ClassN)...)...)
}

// language offers the languages there are.
func (t *turn) language() {
	var rows [][]message.Button
	for _, l := range t.pr.Langs {
		rows = append(rows, []message.Button{{Label: message.Say("lang." + l), Op: opLang, Arg: l, Patient: t.p.ID}})
	}
	t.p.Talk.Ask, t.p.Talk.AskArg = AskLanguage, ""
	t.send(Send{Lane: LaneReply, Key: keyPath, Msg: message.Message{Lines: []message.Line{message.Say("lang.ask")},
		Inline: rows}})
}

// setLang changes the patient's language; false where there are no words in it.
func (t *turn) setLang(lang string) bool {
	for _, l := range t.pr.Langs {
		if l == lang {
			t.p.Lang = lang
			t.answered()
			t.log("lang", message.ArgS("lang", lang))
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
