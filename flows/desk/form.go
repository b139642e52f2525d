package desk

import (
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// stale is how long a form may lie untouched, in seconds, before typed words no
// longer count as its answer: they may be meant for something else.
const stale = hour

// brief begins a form: now it is known of which patient, as things stand.
func (t *turn) brief(b flows.Brief) {
	f := &t.c.Form
	if f.Stage != Waiting || f.Nonce != b.Ask || f.Brief == nil || f.Brief.Patient != b.Patient {
		return // a form that was given up meanwhile
	}
	who, known := t.pr.ByChat(t.c.ID)
	if !known || who.Removed {
		t.c.Form = Form{}
		return
	}
	if b.Stale { // the patient's flow has told why
		t.c.Form = Form{}
		return
	}
	t.who = who
	if b.Preview { // what the changed plan would do, or what the diary has: then it is summed up
		t.previewed(b)
		return
	}
	f.Brief, f.Stage, f.At = &b, Asking, 0
	f.Filled = enrol.Whole(b.Enrolment)
	f.Filled.Enrolment.Plan.On = t.e.Office.Date // a change is checked as signed today
	if f.Op == opTest {
		f.Filled.Enrolment.Baseline.Test = chart.SleepTest{}
	}
	t.question()
}

// question asks what is open, or goes on to the summary. Each question's buttons
// have a nonce of their own: those of an earlier one answer nothing.
func (t *turn) question() {
	f := &t.c.Form
	f.Nonce = t.nonce()
	if f.Op == opEnrol {
		t.enrolQuestion()
		return
	}
	if f.Op == opUsual {
		t.usualQuestion()
		return
	}
	if f.Op == opCover {
		t.coverQuestion()
		return
	}
	if f.Op == opFind || f.Op == opAll || f.Op == opSweep {
		t.wordQuestion()
		return
	}
	i := actIndex(f.Op)
	if i < 0 || f.Brief == nil {
		t.c.Form = Form{}
		return
	}
	for a := acts[i]; int(f.At) < len(a.asks); f.At++ {
		if t.putQuestion(a.asks[f.At]) {
			return
		}
		if f.Stage == Closed {
			return
		}
	}
	t.summary()
}

// formSaid takes typed words as the answer to the open form.
func (t *turn) formSaid(s flows.Said) {
	f := &t.c.Form
	idle := t.now() - f.Since
	f.Since = t.now()
	word := s.Reading.Word
	switch {
	case word == reading.WordCancel || word == reading.WordStop:
		t.cancel()
	case f.Stage == Waiting:
		t.stillOpen()
	case idle > stale:
		t.sayKey("desk.form.again")
		t.question()
	case word == reading.WordBack || word == reading.WordUndo:
		t.back()
	case f.Op == opUsual && f.Stage == Summing && word == reading.WordYes:
		t.usualTap("yes")
	case f.Op == opUsual && word == reading.WordDone:
		t.usualTap("done")
	case f.Op == opUsual:
		t.usualSaid(s)
	case f.Op == opCover && f.Stage == Summing && word == reading.WordYes:
		t.coverTap("yes")
	case f.Op == opCover:
		t.coverSaid(s.Text)
	case f.Stage == Proving:
		t.pinSaid(s)
	case f.Stage == Looking:
		t.askLook()
	case f.Op == opEnrol:
		t.enrolSaid(s)
	case f.Op == opFind:
		t.find(s.Text)
	case f.Op == opAll && f.Stage == Asking:
		t.allWhy(strings.TrimSpace(s.Text), word)
	case f.Stage == Checking:
		t.identified(s.Text)
	case f.Stage == Summing && word == reading.WordYes:
		t.confirmed()
	case f.Stage == Summing && word == reading.WordNo:
		t.cancel()
	case f.Stage == Summing:
		t.sayKey("desk.form.yesno")
		t.summary()
	default:
		t.answer(strings.TrimSpace(s.Text), s)
	}
}

// formTap takes a button of the open question; one of an earlier question, or of
// another form, says so.
func (t *turn) formTap(p flows.Tap) {
	f := &t.c.Form
	switch {
	case p.Arg == "takeup":
		t.takeUp()
		return
	case !t.c.Open() || p.Nonce == "":
		t.sayKey("desk.form.gone")
		return
	case p.Nonce != f.Nonce:
		t.send(message.Message{
			Lines:  []message.Line{message.Say("desk.form.old", message.ArgK("what", opKey(f.Op)))},
			Inline: [][]message.Button{{t.tap("desk.b.carryon", "again"), t.tap("desk.b.cancel", "x")}},
		})
		return
	}
	idle := t.now() - f.Since
	f.Since = t.now()
	switch {
	case idle > stale && p.Arg != "x" && p.Arg != againArg && p.Arg != asideArg:
		t.sayKey("desk.form.late")
		t.question()
	case p.Arg == "x":
		t.cancel()
	case p.Arg == asideArg:
		t.setAside()
	case p.Arg == againArg:
		t.question()
	case p.Arg == "back":
		t.back()
	case f.Op == opUsual:
		t.usualTap(p.Arg)
	case f.Op == opCover:
		t.coverTap(p.Arg)
	case f.Stage == Looking:
		t.lookTap(p.Arg)
	case f.Op == opEnrol:
		t.enrolTap(p.Arg)
	case f.Stage == Summing && p.Arg == "yes":
		t.confirmed()
	case f.Stage == Asking && f.Op == opAll:
		t.allWhy(p.Arg, reading.NoWord)
	case f.Stage == Asking:
		t.answerTap(p.Arg)
	default:
		t.sayKey("desk.form.gone")
	}
}

func (t *turn) cancel() {
	t.drop()
	t.sayKey("desk.form.cancelled")
}

// back goes one question back; from the summary, to the last one.
func (t *turn) back() {
	f := &t.c.Form
	switch {
	case f.Op == opUsual || f.Op == opCover || f.Op == opAll:
		f.Stage, f.At = Asking, 0
		t.question()
		return
	case f.Looked: // what somebody has signed is not changed under that signature
		f.Stage, f.Secret = Summing, ""
		t.question()
		return
	case f.Stage == Proving || f.Stage == Looking: // to what is signed
		f.Stage, f.Secret = Summing, ""
		t.question()
		return
	case f.Op == opEnrol:
		t.enrolBack()
		return
	case f.Field != 0:
		f.Field = 0
	case f.Stage == Asking && f.At > 0:
		f.At--
	case f.Stage == Summing || f.Stage == Checking:
		if a := acts[max(actIndex(f.Op), 0)]; len(a.asks) > 0 {
			f.At = int16(len(a.asks) - 1)
		}
	}
	f.Stage = Asking
	t.question()
}

// wrongLabels is how many wrong labels close a form.
const wrongLabels = 3

// identified compares the second identifier: the practice's label of the
// patient, typed again.
func (t *turn) identified(text string) {
	f := &t.c.Form
	if strings.EqualFold(strings.Join(strings.Fields(text), " "), strings.Join(strings.Fields(f.Brief.Enrolment.Label),
		" ")) {
		t.confirmed()
		return
	}
	if f.Wrong++; f.Wrong >= wrongLabels {
		t.log("desk.refused.label", message.ArgS("op", f.Op))
		t.drop()
		t.sayKey("desk.sum.closed")
		return
	}
	t.say(message.Say("desk.sum.wrong"), message.Say("desk.sum.label"))
}

func (t *turn) confirmed() {
	if t.c.Form.Op == opAll {
		t.allConfirmed()
		return
	}
	if t.c.Form.Op == opSweep {
		t.sweepConfirmed()
		return
	}
	if t.c.Form.Op == opSteady { // what speaks against it stood above the yes
		t.c.Form.Order.Sure = true
	}
	if t.c.Form.Op == opPlan { // who looks a second time as well, its author too: a telephone may have been left lying
		t.prove()
		return
	}
	t.ordered()
}
