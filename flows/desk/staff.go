package desk

import (
	"slices"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// staffSaid takes what a person of the practice types in a private chat: the
// answer to an open form, a control word, pasted lines, or a patient's label.
func (t *turn) staffSaid(s flows.Said) {
	t.reachedAgain()
	if t.c.Lang == "" {
		t.c.Lang = t.who.Lang
	}
	t.voidCode(s) // whose it is sees it here to no purpose, and anybody else should not have seen it
	if s.Media != "" {
		t.sayKey("desk.textonly")
		return
	}
	command := strings.HasPrefix(s.Text, "/")
	if s.Edited {
		t.sayKey("desk.edited") // an answer that was taken is not taken again
		return
	}
	if s.PIN == flows.PINStray {
		t.sayKey("desk.pin.stray")
		return
	}
	if t.c.Open() && t.holds(s) {
		t.holdBeside()
		return
	}
	if t.c.Open() && t.commands(s) { // asks on its own whether the form is set aside
		t.word(s)
		return
	}
	if t.c.Open() && (aside(s) || !command && t.looks(s)) { // looked at beside the form, which stays open
		t.word(s)
		t.stillOpen()
		return
	}
	if t.c.Open() && !(command && !formWord(s.Reading.Word)) {
		t.formSaid(s)
		return
	}
	if s.Reading.Code != "" && s.CodeHash != "" && command {
		t.sayKey("desk.code.staff")
		return
	}
	if pairs := pairsOf(s); len(pairs) > 1 {
		fields := enrol.FormFields()
		n := 0
		for _, p := range pairs {
			if enrol.FormIndex(fields, p.Key) >= 0 {
				n++
			}
		}
		if n > 1 {
			if !t.signable() {
				return
			}
			t.c.Form = Form{Op: opEnrol, Nonce: t.nonce(), Stage: Asking, New: flows.NewPatientID(t.e.Seed), Since: t.now()}
			t.paste(pairs, s)
			return
		}
	}
	t.word(s)
}

// aside tells words that are answered beside an open form.
func aside(s flows.Said) bool {
	return s.Reading.Word == reading.WordQueue || s.Reading.Word == reading.WordHelp || s.List == digestName
}

// holds tells the words that hold everything, which no form takes as an answer: they
// stop every step of the practice. A pause is that where words are asked for.
func (t *turn) holds(s flows.Said) bool {
	return s.Reading.Word == reading.WordHold || s.Reading.Word == reading.WordPause && t.ownWords()
}

// ownWords reports whether the open question takes any words at all, a contact's or a
// note's, or a yes: there a command that is typed is meant as one.
func (t *turn) ownWords() bool {
	f := &t.c.Form
	q, small := t.asked()
	return f.Op == opAll || f.Op == opSweep || f.Stage == Summing || f.Stage == Asking && small && (q == askText || q == askWhy)
}

// looks tells the other words that only show something, where words are asked for.
func (t *turn) looks(s flows.Said) bool {
	_, known := listingOf(s.List)
	return t.ownWords() && (known || s.List == loadWord || s.Find != "" || s.Reading.Why != "" ||
		s.Reading.Word == reading.WordPatients || s.Reading.Word == reading.WordToday)
}

// commands tells words that open a form of their own, where words are asked for.
func (t *turn) commands(s flows.Said) bool {
	w := s.Reading.Word
	return t.ownWords() && (w == reading.WordResume || w == reading.WordEnrol || w == reading.WordFind || w == reading.WordLanguage)
}

// holdBeside asks whether everything is to be held, with the open form set aside. Where
// it cannot be, because another is, everything is held at once: that is the careful way,
// and a clinician takes it back.
func (t *turn) holdBeside() {
	f := t.c.Form
	switch {
	case f.Op == opAll && f.Order.Text == "hold":
		t.question()
		return
	case f.Op == opAll:
		t.drop()
	case t.c.Aside == nil && f.Stage != Waiting:
		f.Want, f.Secret = nil, ""
		t.c.Aside, t.c.Form = &f, Form{}
		t.tellAside()
	default:
		t.tell(flows.Target{Practice: true}, flows.Manage{Op: flows.ManageHold, Actor: t.actor()})
		t.stillOpen()
		return
	}
	t.askAll("hold", practice.Assistant)
}

// stillOpen says that a form is open, and offers both ways.
func (t *turn) stillOpen() {
	t.send(message.Message{
		Lines:  []message.Line{message.Say("desk.form.open", message.ArgK("what", opKey(t.c.Form.Op)))},
		Inline: [][]message.Button{{t.tap("desk.b.carryon", "again"), t.tap("desk.b.cancel", "x")}},
	})
}

// formWord tells words that steer a form from words that open something else.
func formWord(w reading.Word) bool {
	return w == reading.WordCancel || w == reading.WordBack || w == reading.WordSkip || w == reading.WordDone ||
		w == reading.WordUndo || w == reading.WordBlank || w == reading.WordYes || w == reading.WordNo ||
		w == reading.WordStop
}

// word does what a control word asks; any other text is a label to find.
func (t *turn) word(s flows.Said) {
	if s.Reading.Why != "" {
		t.why(s.Reading.Why)
		return
	}
	if _, known := listingOf(s.List); known || s.List == digestName || s.List == loadWord {
		t.showList(s.List, 0)
		return
	}
	if s.Find != "" {
		t.find(s.Find)
		return
	}
	switch s.Reading.Word {
	case reading.WordStart, reading.WordHello, reading.WordHelp, reading.WordHow, reading.WordThanks:
		t.help()
	case reading.WordQueue, reading.WordToday:
		t.send(message.Message{View: message.ViewQueue})
	case reading.WordPatients:
		t.send(message.Message{View: message.ViewList})
	case reading.WordFind:
		if label := afterWord(s.Text); label != "" {
			t.find(label)
			return
		}
		if t.c.Busy() {
			t.busy(menuWant("find"))
			return
		}
		t.c.Form = Form{Op: opFind, Nonce: t.nonce(), Stage: Asking, Since: t.now()}
		t.question()
	case reading.WordEnrol:
		t.enrol()
	case reading.WordBlank:
		t.blank()
	case reading.WordHold, reading.WordPause, reading.WordStop:
		t.askAll("hold", practice.Assistant)
	case reading.WordResume:
		if t.who.Role < practice.Clinician { // asked out of a word or the menu, not a try
			t.sayKey("desk.resume.who")
			return
		}
		t.askAll("resume", practice.Clinician)
	case reading.WordLanguage:
		if len(s.Pairs) == 1 && slices.Contains(t.pr.Langs, s.Pairs[0].Value) {
			t.chooseLang(s.Pairs[0].Value)
			return
		}
		t.languages()
	case reading.WordCancel, reading.WordBack, reading.WordDone, reading.WordSkip, reading.WordUndo, reading.WordYes,
		reading.WordNo:
		t.sayKey("desk.form.none")
	default:
		text := strings.TrimSpace(s.Text)
		if text == "" || s.Reading.Symbols || strings.HasPrefix(text, "/") || len([]rune(text)) > 40 ||
			strings.Contains(text, "\n") {
			t.help()
			return
		}
		t.find(text)
	}
}

// afterWord gives what follows the first word.
func afterWord(text string) string {
	_, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	return strings.TrimSpace(rest)
}

func (t *turn) find(label string) {
	if t.c.Form.Op == opFind {
		t.c.Form = Form{}
	}
	label = strings.Join(strings.Fields(label), " ")
	if label == "" || len([]rune(label)) > 40 {
		t.help()
		return
	}
	t.send(message.Message{View: message.ViewFind, MediaOf: label})
}

func (t *turn) help() {
	t.send(message.Message{Lines: []message.Line{message.Say("desk.hello", message.ArgS("who", t.who.Label),
		message.ArgK("role", roleKey(t.who.Role))), message.Say("desk.help"), message.Say("desk.help.limits")},
		Inline: menu(t.who.Role)})
}

// menu is what everybody at the desk may start with.
func menu(role practice.Role) [][]message.Button {
	b := func(arg string) message.Button {
		return message.Button{Label: message.Say("desk.m." + arg), Op: opMenu, Arg: arg}
	}
	rows := [][]message.Button{{b("queue"), b("digest")}, {b("patients"), b("find")}, {b("enrol"), b("language")}, {b("hold")}}
	if role >= practice.Clinician {
		rows = append(rows, []message.Button{b(opUsual), b(opCover)})
	}
	return rows
}

func (t *turn) menuTap(arg string) {
	words := map[string]reading.Word{"queue": reading.WordQueue, "patients": reading.WordPatients,
		"find": reading.WordFind, "enrol": reading.WordEnrol, "hold": reading.WordHold, "resume": reading.WordResume,
		"language": reading.WordLanguage, "help": reading.WordHelp, "blank": reading.WordBlank}
	w, ok := words[arg]
	if arg == digestName {
		t.showList(digestName, 0)
		return
	}
	if arg == opUsual || arg == opCover {
		switch {
		case t.c.Busy():
			t.busy(menuWant(arg))
		case arg == opUsual:
			t.askUsual()
		default:
			t.askCover()
		}
		return
	}
	if !ok {
		if page, isPage := strings.CutPrefix(arg, "p"); isPage {
			t.send(message.Message{View: message.ViewList, MediaOf: page})
			return
		}
		if page, isPage := strings.CutPrefix(arg, "q"); isPage {
			t.send(message.Message{View: message.ViewQueue, MediaOf: page})
			return
		}
		t.sayKey("desk.button")
		return
	}
	if w == reading.WordHold && t.pr.Held {
		w = reading.WordResume
	}
	t.word(flows.Said{Chat: t.c.ID, Reading: reading.Reading{Word: w}})
}

func (t *turn) languages() {
	m := message.Message{Lines: []message.Line{message.Say("desk.ask.lang")}}
	for _, l := range t.pr.Langs {
		m.Inline = append(m.Inline, []message.Button{{Label: message.Say("desk.lang." + l), Op: opLang, Arg: l}})
	}
	t.send(m)
}

func (t *turn) chooseLang(lang string) {
	if !slices.Contains(t.pr.Langs, lang) {
		t.languages()
		return
	}
	t.c.Lang = lang
	t.tell(flows.Target{Practice: true}, flows.Manage{Op: flows.ManageLang, Actor: t.actor(), Lang: lang})
	t.sayKey("desk.langset")
}

// askAll asks whether everything is to be held, or to go on.
func (t *turn) askAll(what string, least practice.Role) {
	if !t.may(least, opAll+"."+what) {
		return
	}
	if t.c.Busy() {
		t.busy(menuWant(what))
		return
	}
	t.c.Form = Form{Op: opAll, Nonce: t.nonce(), Stage: Asking, Since: t.now(), Order: flows.Order{Text: what}}
	if what == "resume" { // who stays held, before the question
		t.showList(heldWord, 0)
	}
	t.question()
}

// allWhy takes why everything is to be held, where somebody wants to say.
func (t *turn) allWhy(text string, word reading.Word) {
	f := &t.c.Form
	if f.Order.Flag = ""; text != "skip" && word != reading.WordSkip && word != reading.WordYes && !t.takeWords(text, &f.Order.Flag) {
		return
	}
	f.At++
	t.question()
}

// wordQuestion asks what a word alone leaves open.
func (t *turn) wordQuestion() {
	if t.c.Form.Op == opFind {
		t.send(message.Message{Lines: []message.Line{message.Say("desk.ask.find")},
			Inline: [][]message.Button{{t.tap("desk.b.cancel", "x")}}})
		return
	}
	if f := &t.c.Form; f.Op == opAll && f.Order.Text == "hold" && f.At == 0 {
		f.Stage = Asking
		t.send(message.Message{Lines: []message.Line{message.Say("desk.ask.why.all")},
			Inline: [][]message.Button{{t.tap("desk.b.nowhy", "skip")}, {t.tap("desk.b.cancel", "x")}}})
		return
	}
	t.summary()
}

func (t *turn) allConfirmed() {
	what, why := t.c.Form.Order.Text, t.c.Form.Order.Flag
	t.c.Form = Form{}
	op, least := flows.ManageHold, practice.Assistant
	if what == "resume" {
		op, least = flows.ManageResume, practice.Clinician
	}
	if t.may(least, opAll+"."+what) {
		t.tell(flows.Target{Practice: true}, flows.Manage{Op: op, Actor: t.actor(), Text: why})
	}
}
