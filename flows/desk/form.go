package desk

import (
	"strconv"
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
	t.who = who
	f.Brief, f.Stage, f.At = &b, Asking, 0
	f.Filled = enrol.Filled{Enrolment: b.Enrolment}
	f.Filled.Enrolment.Plan.On = t.e.Office.Date // a change is checked as signed today
	if f.Op == opTest {
		f.Filled.Enrolment.Baseline.Test = chart.SleepTest{}
	}
	t.question()
}

// question asks what is open, or goes on to the summary.
func (t *turn) question() {
	f := &t.c.Form
	if f.Op == opEnrol {
		t.enrolQuestion()
		return
	}
	if f.Op == opFind || f.Op == opAll {
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
		t.busy()
	case idle > stale:
		t.sayKey("desk.form.again")
		t.question()
	case word == reading.WordBack || word == reading.WordUndo:
		t.back()
	case f.Op == opEnrol:
		t.enrolSaid(s)
	case f.Op == opFind:
		t.find(s.Text)
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

// formTap takes a button of the open form; one of another form says so.
func (t *turn) formTap(p flows.Tap) {
	f := &t.c.Form
	if !t.c.Open() || p.Nonce != f.Nonce || p.Nonce == "" {
		t.sayKey("desk.form.gone")
		return
	}
	f.Since = t.now()
	switch {
	case p.Arg == "x":
		t.cancel()
	case p.Arg == "again":
		t.question()
	case p.Arg == "back":
		t.back()
	case f.Op == opEnrol:
		t.enrolTap(p.Arg)
	case f.Stage == Summing && p.Arg == "yes":
		t.confirmed()
	case f.Stage == Asking:
		t.answerTap(p.Arg)
	default:
		t.sayKey("desk.form.gone")
	}
}

func (t *turn) cancel() {
	t.c.Form = Form{}
	t.sayKey("desk.form.cancelled")
}

// back goes one question back; from the summary, to the last one.
func (t *turn) back() {
	f := &t.c.Form
	switch {
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

// summary shows what will be ordered, for a yes or for the label typed again.
func (t *turn) summary() {
	f := &t.c.Form
	a := acts[max(actIndex(f.Op), 0)]
	second := a.second || f.Op == opPlan && looser(f.Brief.Enrolment.Plan, f.Filled.Enrolment.Plan)
	if f.Op != opAll && !a.sure && !second {
		t.ordered()
		return
	}
	lines := t.sumLines()
	if second {
		f.Stage = Checking
		t.send(message.Message{Lines: append(lines, message.Say("desk.sum.label")),
			Inline: [][]message.Button{{t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")}}})
		return
	}
	f.Stage = Summing
	t.send(message.Message{Lines: append(lines, message.Say("desk.sum.sure")),
		Inline: [][]message.Button{{t.tap("desk.b.yes", "yes"), t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")}}})
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
		t.c.Form = Form{}
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
	t.ordered()
}

// looser reports whether a plan lets more happen than the old one: that is what
// needs the second identifier.
func looser(old, new chart.Plan) bool {
	o, n := old.Limits, new.Limits
	return n.Ceiling > o.Ceiling || n.Settle < o.Settle || n.Interval < o.Interval || n.RestMornings < o.RestMornings ||
		n.Pace > o.Pace ||
		n.Target < o.Target || n.Loud > o.Loud || n.WornMinutes < o.WornMinutes || n.ContactDays > o.ContactDays ||
		new.Ends > old.Ends ||
		n.Timetable && (!o.Timetable || n.TimetableTop > o.TimetableTop) || o.ReleaseByHand && !n.ReleaseByHand ||
		o.WeeklyNeeded && !n.WeeklyNeeded ||
		o.DrivingNightly && !n.DrivingNightly
}

// sumLines tells what will be ordered.
func (t *turn) sumLines() []message.Line {
	f := &t.c.Form
	if f.Op == opAll {
		return []message.Line{message.Say("desk.sum.all." + f.Order.Text)}
	}
	e, o := &f.Filled.Enrolment, &f.Order
	lines := []message.Line{message.Say("desk.sum.head", message.ArgK("what", "desk.b."+f.Op),
		message.ArgS("label", f.Brief.Enrolment.Label))}
	if o.Flag != "" {
		lines = append(lines, message.Say("desk.sum.flag", message.ArgK("flag", flagKey(o.Flag))))
	}
	if o.Has {
		lines = append(lines, message.Say("desk.sum.setting", settingArgs(e, o.To)...))
		if f.Op == opVisit || f.Op == opRelease {
			lines = append(lines, message.Say("desk.sum.was", settingArgs(e, f.Brief.Left)...))
		}
	}
	if o.Until != 0 {
		lines = append(lines, message.Say("desk.sum.until", message.ArgD("until", o.Until)))
	}
	if o.Zone != "" {
		lines = append(lines, message.Say("desk.sum.zone", message.ArgS("zone", o.Zone)))
	}
	if o.Lang != "" {
		lines = append(lines, message.Say("desk.sum.lang", message.ArgK("lang", "desk.lang."+o.Lang)))
	}
	if x := o.Test; x != nil {
		lines = append(lines, testLines(x)...)
	}
	if o.Entry != nil {
		lines = append(lines, entryLines(o.Entry)...)
	}
	if f.Op == opPlan {
		lines = append(lines, planChanges(&f.Brief.Enrolment, e)...)
	}
	if o.Text != "" {
		lines = append(lines, message.Say("desk.sum.text", message.ArgS("text", o.Text)))
	}
	return lines
}

// settingArgs gives a setting as a number, in mm from the habitual bite and in
// % with the zero stated, and the practice's own label where there is one.
func settingArgs(e *chart.Enrolment, n chart.Steps) []message.Arg {
	place := e.Baseline.Start + chart.Micrometres(n)*e.Appliance.Step
	name := strconv.Itoa(int(n))
	if n >= 0 && int(n) < len(e.Appliance.Labels) {
		name += " (" + e.Appliance.Labels[n] + ")"
	}
	return []message.Arg{message.ArgS("n", name), message.ArgUM("place", place),
		message.ArgP("share", chart.ShareOf(&e.Baseline, place)), message.ArgK("zero", zeroKey(e.Baseline.Zero))}
}

func zeroKey(z chart.Zero) string {
	return "enrol.zero." + [...]string{"unset", "habitual", "retruded"}[min(z, chart.ZeroRetruded)]
}

// planChanges names every limit that differs, old and new.
func planChanges(old, new *chart.Enrolment) []message.Line {
	var out []message.Line
	for _, f := range enrol.FormFields() {
		if f.Part != enrol.PartLimits && f.Part != enrol.PartPlan {
			continue
		}
		if a, b := f.Text(old), f.Text(new); a != b {
			out = append(out, message.Say("desk.sum.change", message.ArgK("field", "enrol.f."+f.Key), valueArg(f, old, "was"),
				valueArg(f, new, "now")))
		}
	}
	return out
}

// valueArg gives what is kept in a blank, to be shown.
func valueArg(f enrol.FormField, e *chart.Enrolment, name string) message.Arg {
	n, known := f.Get(e)
	text := f.Text(e)
	switch {
	case !known && text == "":
		return message.ArgK(name, "desk.none")
	case f.Kind == enrol.FormYes:
		return message.ArgK(name, [...]string{"desk.no", "desk.yes"}[min(max(n, 0), 1)])
	case f.Kind == enrol.FormChoice && text != "":
		return message.ArgK(name, f.ChoiceKey(text))
	case f.Kind == enrol.FormMarks:
		var keys []string
		for _, c := range strings.Fields(text) {
			keys = append(keys, f.ChoiceKey(c))
		}
		if len(keys) == 0 {
			return message.ArgK(name, "desk.none")
		}
		return message.Arg{Name: name, Kind: message.ArgList, S: strings.Join(keys, "|")}
	case !known:
		return message.ArgS(name, text)
	case f.Kind == enrol.FormDate && n == 0:
		return message.ArgK(name, "desk.none")
	}
	return f.Arg(name, n)
}
