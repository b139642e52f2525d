package desk

import (
	"slices"
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/practice"
)

// oneScrew is what an invented practice usually enters.
var oneScrew = practice.Template{Name: "One screw", Blanks: []practice.Blank{{Key: "mechanism", Value: "one screw in the middle"},
	{Key: "step-word", Value: "half turn"}, {Key: "step-mm", Value: "0.25"}, {Key: "forward", Value: "key towards the nose"},
	{Key: "travel", Value: "5 mm"}, {Key: "zero", Value: "habitual"}, {Key: "interval", Value: "5"}, {Key: "evening", Value: "20:30"}}}

var chairside = map[string]string{"label": "Plover 5", "adult": "yes", "phone": "555 0142", "max-mm": "8", "start": "50 %",
	"reporter": "o0", "sleepiness": "4", "headache": "no", "pauses": "no", "drives": "no", "ceiling": "d", "checklist": "all"}

// guided answers what the form asks until the sum, and gives the blanks asked for.
func (w *world) guided(chat int64, answers map[string]string) (asked []string) {
	w.t.Helper()
	w.say(chat, "enrol")
	for range 60 {
		f := w.chats[chat].Form
		if f.Stage != Asking || f.Field == 0 {
			return asked
		}
		key := enrol.FormFields()[f.Field-1].Key
		asked = append(asked, key)
		switch a, ok := answers[key]; {
		case !ok:
			w.t.Fatalf("%s is asked; heard %v", key, w.keys(chat))
		case a == "d" || a == "all" || a == "skip" || len(a) == 2 && (a[0] == 'o' || a[0] == 't') && a != "to":
			w.press2(chat, a)
		default:
			w.say(chat, a)
		}
	}
	return asked
}

// Of a practice with a template and one language twelve blanks are asked, and age first of all.
func TestTwelveQuestions(t *testing.T) {
	w := newWorld(t)
	w.pr.Langs = []string{"en"}
	w.pr.Templates = []practice.Template{oneScrew}
	asked := w.guided(clinician, chairside)
	if len(asked) != 12 || asked[0] != "adult" {
		t.Errorf("%d asked: %v", len(asked), asked)
	}
	f := w.chats[clinician].Form
	e := &f.Filled.Enrolment
	if f.Stage != Summing || e.Template != "One screw" || e.Appliance.Step != 250 || e.Appliance.Travel != 20 ||
		e.Plan.Limits.Interval != 5 || e.Plan.Evening != 20*60+30 || e.Plan.Limits.Ceiling != 6 || e.Lang != "en" {
		t.Fatalf("%+v, heard %v", e, w.keys(clinician))
	}
	// Every blank of the table is told, or told to be empty.
	told := map[string]bool{}
	for _, m := range w.said[clinician] {
		for _, l := range m.Lines {
			for _, a := range l.Args {
				if strings.HasPrefix(l.Key, "enrol.sum.") {
					for key := range strings.SplitSeq(a.S, "|") {
						told[key] = true
					}
				}
			}
		}
	}
	for _, field := range enrol.FormFields() {
		if !told["enrol.f."+field.Key] && field.Key != "label" && field.Asked(e) {
			t.Errorf("%s is signed unseen", field.Key)
		}
	}
	// Details and limits can be gone through, and what is usual stays one tap away.
	w.press2(clinician, "limits")
	f = w.chats[clinician].Form
	if f.Stage != Asking || !enrol.FormFields()[f.Field-1].Habit() {
		t.Fatalf("%+v", f)
	}
	w.say(clinician, "6")
	w.press2(clinician, "rest")
	for w.chats[clinician].Form.Stage == Asking {
		w.press2(clinician, "rest")
	}
	w.press2(clinician, "more")
	if f = w.chats[clinician].Form; f.Stage != Asking || enrol.FormFields()[f.Field-1].Key != "physician" {
		t.Errorf("%+v", f)
	}
}

// Of several templates the form asks which; another one chosen later carries over
// what it says, and nothing that was answered.
func TestTemplateChosen(t *testing.T) {
	w := newWorld(t)
	slow := practice.Template{Name: "Slow", Blanks: append(slices.Clone(oneScrew.Blanks[:6]), practice.Blank{Key: "interval", Value: "7"})}
	w.pr.Templates, w.pr.Langs = []practice.Template{oneScrew, slow}, []string{"en"}
	answers := map[string]string{"template": "t1"}
	for k, v := range chairside {
		answers[k] = v
	}
	if asked := w.guided(clinician, answers); len(asked) != 13 || asked[1] != "template" {
		t.Errorf("%v", asked)
	}
	e := func() *chart.Enrolment { f := w.chats[clinician].Form; return &f.Filled.Enrolment }
	if e().Plan.Limits.Interval != 7 || e().Plan.Evening != 21*60 {
		t.Errorf("%+v", e().Plan)
	}
	w.paste(clinician, "template: one SCREW\nsettle: 4")
	if e().Plan.Limits.Interval != 5 || e().Plan.Evening != 20*60+30 || e().Plan.Limits.Settle != 4 || e().Label != "Plover 5" {
		t.Errorf("%+v", e().Plan)
	}
	w.paste(clinician, "template: none such\nsettle: 4")
	w.must(clinician, "enrol.bad.template")
}

// Who is under age, a clinician whom nobody can reach, a label that is taken and a
// number that cannot be one are told before anything else is typed.
func TestRefusedAtOnce(t *testing.T) {
	w := newWorld(t)
	w.say(clinician, "enrol")
	w.press2(clinician, "no")
	w.must(clinician, "enrol.minor")
	if w.open(clinician) {
		t.Error("the form of somebody under age stays open")
	}
	w.paste(clinician, "adult: no\nlabel: Heron\nphone: 123456")
	w.must(clinician, "enrol.minor")
	w.say(clinician, "enrol")
	w.press2(clinician, "yes")
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "Heron 12", Taken: "Heron 12"})
	w.must(clinician, "enrol.taken")
	if f := w.chats[clinician].Form; enrol.FormFields()[f.Field-1].Key != "label" {
		t.Errorf("%+v", f)
	}
	w.say(clinician, "Heron 13")
	w.press2(clinician, "en")
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "12", NoPhone: "12"})
	w.must(clinician, "enrol.bad.possible")
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "label: Heron 12\nphone: 12\nfitted: 2026-03-03\nstep-mm: 0.25",
		Taken: "Heron 12", NoPhone: "12"})
	heard := w.keys(clinician)
	for _, key := range []string{"enrol.taken", "enrol.bad.possible", "enrol.bad.ahead"} {
		if !slices.Contains(heard, key) {
			t.Errorf("%s is not told: %v", key, heard)
		}
	}
	if e := w.chats[clinician].Form.Filled.Enrolment; e.Label == "Heron 12" || e.Phone != "" {
		t.Errorf("%+v", e)
	}
	w = newWorld(t)
	w.pr.Staff[0].Unreach = true
	w.say(assistant, "enrol")
	w.must(assistant, "enrol.nosigner")
	w.paste(assistant, pasted)
	if w.open(assistant) {
		t.Error("a form that nobody could sign was begun")
	}
}

// What was typed in mm stays in mm: with another start or step the count follows and
// is told. A start beyond the maximum is said to be that.
func TestLengthsStay(t *testing.T) {
	w := newWorld(t)
	w.paste(clinician, strings.Replace(pasted, "ceiling: 70 %", "ceiling: 5.5 mm", 1))
	e := func() *chart.Enrolment { f := w.chats[clinician].Form; return &f.Filled.Enrolment }
	if e().Plan.Limits.Ceiling != 6 || e().Appliance.Travel != 20 {
		t.Fatalf("%+v", e())
	}
	w.paste(clinician, "start: 4.5 mm\nsettle: 7")
	w.must(clinician, "enrol.moved.mm")
	if e().Plan.Limits.Ceiling != 4 || e().Baseline.Start != 4500 {
		t.Errorf("%+v", e().Plan.Limits)
	}
	w.paste(clinician, "step-mm: 0.5\nsettle: 7")
	if e().Plan.Limits.Ceiling != 2 || e().Appliance.Travel != 10 || e().Plan.Limits.Interval != 7 {
		t.Errorf("%+v", e())
	}
	w.paste(clinician, "start: 9 mm\nsettle: 7")
	w.must(clinician, "enrol.bad.above")
	if f := w.chats[clinician].Form; f.Filled.Enrolment.Baseline.Start != 4500 {
		t.Errorf("%+v", f)
	}
	w.paste(clinician, "start: 6 mm\nsettle: 7") // beyond the ceiling that was typed
	w.must(clinician, "enrol.bad.under")
	if f := w.chats[clinician].Form; f.Stage != Asking || enrol.FormFields()[f.Field-1].Key != "ceiling" {
		t.Errorf("%+v", f)
	}
}

// The link of what an assistant filled in comes to the assistant's own chat.
func TestLinkGoesToAssistant(t *testing.T) {
	w := newWorld(t)
	w.paste(assistant, pasted)
	w.press2(assistant, "tos1")
	offer := w.last(clinician).Inline[0][0]
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: offer.Op, Nonce: offer.Nonce})
	w.signs(clinician)
	if len(w.enrols) != 1 || w.enrols[0].Link != assistant || w.enrols[0].Chat != clinician {
		t.Fatalf("%+v", w.enrols)
	}
	p := flows.Patient{}
	w.pr.BotName = "duskdawn_bot"
	next, fx := flows.Next(w.pr, p, w.event(w.enrols[0]))
	if next.Code != w.enrols[0].Code {
		t.Error("no code")
	}
	got := map[int64]string{}
	for _, x := range fx {
		if s, ok := x.(flows.Send); ok {
			got[s.Chat] += s.Msg.Media + " "
			for _, l := range s.Msg.Lines {
				got[s.Chat] += l.Key + " "
			}
		}
	}
	if !strings.Contains(got[assistant], "qr") || !strings.Contains(got[assistant], "enrolled.link ") ||
		strings.Contains(got[clinician], "enrolled.link ") || !strings.Contains(got[clinician], "enrolled.linked ") {
		t.Errorf("%v", got)
	}
}
