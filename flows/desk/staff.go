package desk

import (
	"slices"
	"strings"

	"duskdawn/flows"
)

// staffSaid takes what a person of the practice types in a private chat: the
// answer to an open form, a control word, pasted lines, or a patient's label.
func (t *turn) staffSaid(s flows.Said) {
	t.reachedAgain()
	if t.c.Lang == "" {
		t.c.Lang = t.who.Lang
	}
	command := strings.HasPrefix(s.Text, "/")
	if s.Edited {
		t.sayKey("desk.edited") // an answer that was taken is not taken again
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
		fields := flows.FormFields()
		n := 0
		for _, p := range pairs {
			if flows.FormIndex(fields, p.Key) >= 0 {
				n++
			}
		}
		if n > 1 {
			t.c.Form = Form{Op: opEnrol, Nonce: t.nonce(), Stage: Asking, New: flows.NewPatientID(t.e.Seed), Since: t.now()}
			t.paste(pairs, s.Zones)
			return
		}
	}
	t.word(s)
}

// formWord tells words that steer a form from words that open something else.
func formWord(w flows.Word) bool {
	return w == flows.WordCancel || w == flows.WordBack || w == flows.WordSkip || w == flows.WordDone || w == flows.WordUndo || w == flows.WordBlank || w == flows.WordYes || w == flows.WordNo || w == flows.WordStop
}

// word does what a control word asks; any other text is a label to find.
func (t *turn) word(s flows.Said) {
	if s.Reading.Why != "" {
		t.why(s.Reading.Why)
		return
	}
	switch s.Reading.Word {
	case flows.WordStart, flows.WordHello, flows.WordHelp, flows.WordHow, flows.WordThanks:
		t.help()
	case flows.WordQueue, flows.WordToday:
		t.send(flows.Message{View: flows.ViewQueue})
	case flows.WordPatients:
		t.send(flows.Message{View: flows.ViewList})
	case flows.WordFind:
		if label := afterWord(s.Text); label != "" {
			t.find(label)
			return
		}
		t.c.Form = Form{Op: opFind, Nonce: t.nonce(), Stage: Asking, Since: t.now()}
		t.question()
	case flows.WordEnrol:
		t.enrol()
	case flows.WordBlank:
		t.blank()
	case flows.WordHold, flows.WordPause, flows.WordStop:
		t.askAll("hold", flows.Assistant)
	case flows.WordResume:
		t.askAll("resume", flows.Clinician)
	case flows.WordLanguage:
		t.languages()
	case flows.WordCancel, flows.WordBack, flows.WordDone, flows.WordSkip, flows.WordUndo, flows.WordYes, flows.WordNo:
		t.sayKey("desk.form.none")
	default:
		text := strings.TrimSpace(s.Text)
		if text == "" || s.Reading.Symbols || strings.HasPrefix(text, "/") || len([]rune(text)) > 40 || strings.Contains(text, "\n") {
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
	t.send(flows.Message{View: flows.ViewFind, MediaOf: label})
}

func (t *turn) help() {
	t.send(flows.Message{Lines: []flows.Line{flows.Say("desk.hello", flows.ArgS("who", t.who.Label), flows.ArgK("role", roleKey(t.who.Role))), flows.Say("desk.help"), flows.Say("desk.help.limits")}, Inline: menu()})
}

// menu is what everybody at the desk may start with.
func menu() [][]flows.Button {
	b := func(arg string) flows.Button {
		return flows.Button{Label: flows.Say("desk.m." + arg), Op: opMenu, Arg: arg}
	}
	return [][]flows.Button{{b("queue"), b("patients")}, {b("find"), b("enrol")}, {b("hold"), b("language")}}
}

func (t *turn) menuTap(arg string) {
	words := map[string]flows.Word{"queue": flows.WordQueue, "patients": flows.WordPatients, "find": flows.WordFind, "enrol": flows.WordEnrol, "hold": flows.WordHold, "resume": flows.WordResume, "language": flows.WordLanguage, "help": flows.WordHelp, "blank": flows.WordBlank}
	w, ok := words[arg]
	if !ok {
		if page, isPage := strings.CutPrefix(arg, "p"); isPage {
			t.send(flows.Message{View: flows.ViewList, MediaOf: page})
			return
		}
		t.sayKey("desk.button")
		return
	}
	if t.c.Open() && t.c.Form.Stage != Waiting && (w == flows.WordFind || w == flows.WordHold || w == flows.WordResume) {
		t.busy()
		return
	}
	if w == flows.WordHold && t.pr.Held {
		w = flows.WordResume
	}
	t.word(flows.Said{Chat: t.c.ID, Reading: flows.Reading{Word: w}})
}

func (t *turn) languages() {
	m := flows.Message{Lines: []flows.Line{flows.Say("desk.ask.lang")}}
	for _, l := range t.pr.Langs {
		m.Inline = append(m.Inline, []flows.Button{{Label: flows.Say("desk.lang." + l), Op: opLang, Arg: l}})
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
func (t *turn) askAll(what string, least flows.Role) {
	if !t.may(least, opAll+"."+what) {
		return
	}
	t.c.Form = Form{Op: opAll, Nonce: t.nonce(), Stage: Asking, Since: t.now(), Order: flows.Order{Text: what}}
	t.question()
}

// wordQuestion asks what a word alone leaves open.
func (t *turn) wordQuestion() {
	if t.c.Form.Op == opFind {
		t.send(flows.Message{Lines: []flows.Line{flows.Say("desk.ask.find")}, Inline: [][]flows.Button{{t.tap("desk.b.cancel", "x")}}})
		return
	}
	t.summary()
}

func (t *turn) allConfirmed() {
	what := t.c.Form.Order.Text
	t.c.Form = Form{}
	op, least := flows.ManageHold, flows.Assistant
	if what == "resume" {
		op, least = flows.ManageResume, flows.Clinician
	}
	if t.may(least, opAll+"."+what) {
		t.tell(flows.Target{Practice: true}, flows.Manage{Op: op, Actor: t.actor()})
	}
}
