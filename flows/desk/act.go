package desk

import (
	"slices"
	"strconv"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Ops of buttons, at most 8 bytes. Those of acts name what staff ask of a
// patient's flow; the others stay in the chat.
const (
	opAck        = "ack"
	opNote       = "note"
	opResolve    = "resolve"
	opHold       = "hold"
	opResume     = "resume"
	opConfirm    = "confirm"
	opDeny       = "deny"
	opRelease    = "release"
	opPlan       = "plan"
	opGrant      = "grant"
	opVisit      = "visit"
	opStep       = "step"
	opTest       = "test"
	opTesting    = "testing"
	opSetting    = "setting"
	opSteady     = "steady"
	opRecall     = "recall"
	opEnd        = "end"
	opContact    = "contact"
	opTranscribe = "transcr"
	opRebind     = "rebind"
	opUnbind     = "unbind"
	opReopen     = "reopen"
	opMove       = "move"
	opHarmless   = "harmless"
	opTake       = "takeover"

	opCard     = "card"
	opDiary    = "diary"
	opCourse   = "course"
	opShowPlan = "showplan"
	opOutcomes = "outcomes"
	opEstimate = "estimate"
	opMore     = "more"
	opNotes    = "notes"
	opWhy      = "why" // what a rule, flag or number rests on: Arg is its id
	opMenu     = "m"
	opForm     = "f"
	opLang     = "lang"
	opDraft    = "draft"

	opList  = "list"  // a page of a list or of the digest: Arg is its word and page
	opHand  = "hand"  // hand on what one has taken: Arg is the item's number or "all", then to whom
	opSweep = "sweep" // close what is routine in a list: Arg is its word, Nonce when it was shown

	opEnrol = "enrol" // forms that concern no patient yet, or all
	opFind  = "find"
	opAll   = "all"
)

// opKey is the message that names what is open: of everything no button does it.
func opKey(op string) string {
	if op == opAll {
		return "desk.everything"
	}
	return "desk.b." + op
}

// Transcribe is the op of the form that writes down answers: its text is read line
// by line.
const Transcribe = opTranscribe

// ask is one question of a small form.
type ask uint8

const (
	askFlag     ask = iota // which flag
	askSetting             // which setting
	askUntil               // until when
	askText                // words
	askLimits              // which limits, to what
	askDay                 // a day's answers, given by telephone
	askWhen                // of a sleep test: its date,
	askKind                // kind,
	askScoring             // scoring rule,
	askAHI                 // AHI,
	askODI                 // ODI,
	askDrop                // the drop it counts,
	askAsleep              // how long it saw sleep,
	askBy                  // who interpreted it,
	askPlace               // whether the appliance was worn
	askZone                // which time zone
	askLang                // which language
	askArranged            // for which night a test is arranged
	askEvening             // when the evening's check-in comes
	askMorning             // when the morning's does
	askWhy                 // why, where somebody wants to say
)

// act is one thing staff may ask of a patient's flow: who may, what is asked
// first, whether a summary is confirmed, whether the patient is identified a
// second time, by the practice's label typed again, and when its button stands
// on the card of every button.
type act struct {
	op     string
	order  flows.OrderOp
	role   practice.Role
	when   func(*flows.Patient) bool // nil for what is done to one escalation: its button stands beside that
	asks   []ask
	sure   bool
	second bool
	made   bool // its button names the state of the patient that it was made for, and does nothing in another
}

// acts is the table of them, in the order of their buttons. What it allows the
// patient's flow checks again.
var acts = [...]act{
	{op: opAck, order: flows.OrderAck, role: practice.Assistant},
	{op: opNote, order: flows.OrderNote, role: practice.Assistant, asks: []ask{askText}},
	{op: opResolve, order: flows.OrderResolve, role: practice.Assistant, asks: []ask{askText}, sure: true},
	{op: opHarmless, order: flows.OrderHarmless, role: practice.Assistant},
	{op: opTake, order: flows.OrderTake, role: practice.Assistant},
	{op: opConfirm, order: flows.OrderConfirm, role: practice.Assistant, when: unsure, made: true},
	{op: opDeny, order: flows.OrderDeny, role: practice.Assistant, when: unsure, sure: true, made: true},
	{op: opRelease, order: flows.OrderRelease, role: practice.Clinician, when: flagged, asks: []ask{askFlag, askSetting, askText}, second: true, made: true},
	{op: opStep, order: flows.OrderStep, role: practice.Clinician, when: steppable, sure: true, made: true},
	{op: opVisit, order: flows.OrderVisit, role: practice.Clinician, when: running, asks: []ask{askSetting, askText}, sure: true, made: true},
	{op: opPlan, order: flows.OrderPlan, role: practice.Clinician, when: goesOn, asks: []ask{askLimits}, sure: true},
	{op: opGrant, order: flows.OrderGrant, role: practice.Clinician, when: grantable, asks: []ask{askSetting, askUntil}, second: true, made: true},
	{op: opTesting, order: flows.OrderTesting, role: practice.Clinician, when: running, asks: []ask{askArranged}, sure: true, made: true},
	{op: opTest, order: flows.OrderTest, role: practice.Clinician, when: running, asks: []ask{askWhen, askKind, askScoring, askAHI, askODI, askDrop, askAsleep, askBy, askPlace, askSetting}, sure: true},
	{op: opSetting, order: flows.OrderSetting, role: practice.Clinician, when: in(chart.Testing, chart.Holding), asks: []ask{askSetting}, second: true, made: true},
	{op: opSteady, order: flows.OrderSteady, role: practice.Clinician, when: proved, sure: true, made: true},
	{op: opRecall, order: flows.OrderRecall, role: practice.Clinician, when: in(chart.Steady), sure: true, made: true},
	{op: opHold, order: flows.OrderHold, role: practice.Assistant, when: func(p *flows.Patient) bool { return !p.Held && running(p) }, asks: []ask{askWhy}, made: true},
	{op: opResume, order: flows.OrderResume, role: practice.Assistant, when: func(p *flows.Patient) bool { return p.Held }, sure: true, made: true},
	{op: opReopen, order: flows.OrderReopen, role: practice.Clinician, when: in(chart.Ended, chart.Paused), sure: true, made: true},
	{op: opContact, order: flows.OrderContact, role: practice.Assistant, when: always, asks: []ask{askText}},
	{op: opTranscribe, order: flows.OrderTranscribe, role: practice.Assistant, when: running, asks: []ask{askDay}, sure: true},
	{op: opMove, order: flows.OrderMove, role: practice.Assistant, when: goesOn, asks: []ask{askZone, askEvening, askMorning, askLang}, sure: true},
	{op: opRebind, order: flows.OrderRebind, role: practice.Assistant, when: goesOn, second: true, made: true},
	{op: opUnbind, order: flows.OrderUnbind, role: practice.Assistant, when: func(p *flows.Patient) bool { return p.Chat != 0 }, second: true, made: true},
	{op: opEnd, order: flows.OrderEnd, role: practice.Clinician, when: goesOn, asks: []ask{askText}, second: true, made: true},
}

func always(*flows.Patient) bool { return true }

// unsure reports whether staff have yet to say that the person in the chat is the
// right one.
func unsure(p *flows.Patient) bool { return p.Chat != 0 && p.Consent != "" && p.Sure != p.Gen }

func flagged(p *flows.Patient) bool { return len(p.Course.Flags) > 0 }

// ready reports whether a step waits to be released.
func ready(p *flows.Patient) bool { return p.Course.Advice.Ready }

// room reports whether there is a step left below the ceiling and the end of the travel.
func room(p *flows.Patient) bool {
	return p.Course.Left < min(p.Plan.Limits.Ceiling, p.Appliance.Travel)
}

// steppable reports whether it can be released now.
func steppable(p *flows.Patient) bool { return ready(p) && !p.Course.Open() && room(p) }

// grantable reports whether a further setting can be granted.
func grantable(p *flows.Patient) bool {
	return running(p) && p.Course.OnPath() <= chart.Holding && room(p)
}

// proved reports whether a test can prove the position that is worn.
func proved(p *flows.Patient) bool {
	_, ok := flows.SteadyDoubts(p)
	return ok && p.Course.TestOn != 0 && in(chart.Testing, chart.Holding)(p)
}

// goesOn reports whether the treatment has not ended.
func goesOn(p *flows.Patient) bool { return p.Course.State != chart.Ended }

// running reports whether there is an evening to come, now or after a pause.
func running(p *flows.Patient) bool {
	s := p.Course.State
	return s >= chart.Settling && s <= chart.Recall || s == chart.Paused || s == chart.Stopped
}

// in makes the condition that a course is in one of some states.
func in(states ...chart.State) func(*flows.Patient) bool {
	return func(p *flows.Patient) bool { return slices.Contains(states, p.Course.State) }
}

func actIndex(op string) int {
	for i := range acts {
		if acts[i].op == op {
			return i
		}
	}
	return -1
}

// plain reports whether an act is ordered by the tap alone.
func (a act) plain() bool { return len(a.asks) == 0 && !a.sure && !a.second }

// staffTapped takes a button of a person of the practice, in that person's chat.
func (t *turn) staffTapped(p flows.Tap) {
	switch p.Op {
	case opForm:
		t.formTap(p)
	case opMenu:
		t.menuTap(p.Arg)
	case opLang:
		t.chooseLang(p.Arg)
	case opDraft:
		t.openDraft(p.Nonce)
	case opWhy:
		t.why(p.Arg)
	case opList:
		t.listTap(p.Arg)
	case opSweep:
		t.sweepTap(p)
	case opHand:
		t.handTap(p)
	case opCard, opDiary, opCourse, opShowPlan, opOutcomes, opEstimate, opMore, opNotes:
		t.show(p)
	default:
		if i := actIndex(p.Op); i >= 0 && p.Patient != "" {
			t.act(acts[i], p)
			return
		}
		t.sayKey("desk.button")
	}
}

// show sends a view of a patient; more is the card with every button.
func (t *turn) show(p flows.Tap) {
	if p.Patient == "" {
		t.sayKey("desk.button")
		return
	}
	m := message.Message{Subject: p.Patient}
	switch p.Op {
	case opDiary:
		m.View = message.ViewDiary
	case opCourse:
		m.View, m.Media = message.ViewCourse, flows.MediaCourseWhole
	case opShowPlan:
		m.View = message.ViewPlan
	case opOutcomes:
		m.View = message.ViewOutcomes
	case opEstimate:
		m.View = message.ViewEstimate
	case opMore, opNotes:
		m.View, m.MediaOf = message.ViewCard, p.Op
	default:
		m.View = message.ViewCard
	}
	t.log("desk.seen", message.ArgS("what", p.Op), message.ArgS("patient", string(p.Patient)))
	t.send(m)
}

// act orders something of a patient's flow, or opens the form it needs.
func (t *turn) act(a act, p flows.Tap) {
	if !t.may(a.role, a.op) {
		return
	}
	o := flows.Order{Actor: t.actor(), Op: a.order, Chat: t.c.ID}
	switch a.op {
	case opAck, opTake, opNote, opResolve, opHarmless:
		if n, err := strconv.ParseInt(p.Arg, 10, 32); err == nil && n > 0 {
			o.Esc = int32(n)
		}
	case opRelease:
		o.Flag = p.Arg
	}
	if a.made {
		n, err := strconv.ParseInt(p.Nonce, 10, 32)
		if err != nil || n <= 0 { // of an older program, which named no state
			t.send(message.Message{Lines: []message.Line{message.Say("desk.stale")}, View: message.ViewCard, Subject: p.Patient})
			return
		}
		o.Made = int32(n)
	}
	if a.plain() {
		t.tell(flows.Target{Patient: p.Patient}, o)
		return
	}
	if t.c.Busy() {
		t.busy(p)
		return
	}
	t.c.Form = Form{Op: a.op, Nonce: t.nonce(), Stage: Waiting, Order: o, Brief: &flows.Brief{Patient: p.Patient},
		Since: t.now()}
	t.tell(flows.Target{Patient: p.Patient}, flows.Order{Actor: o.Actor, Op: flows.OrderBrief, Chat: t.c.ID,
		Text: t.c.Form.Nonce, Made: o.Made, Esc: o.Esc, Flag: map[bool]string{true: opResolve}[a.op == opResolve]})
}

// may checks a role, says so where it does not reach, and records the try.
func (t *turn) may(least practice.Role, what string) bool {
	if t.who.Role >= least && !t.who.Removed {
		return true
	}
	t.log("desk.refused.role", message.ArgS("op", what), message.ArgS("who", t.who.ID))
	t.say(message.Say("desk.refused.role", message.ArgK("role", roleKey(least))))
	return false
}

// tap makes a button of the open form.
func (t *turn) tap(label, arg string) message.Button { return t.tapLine(message.Say(label), arg) }

func (t *turn) tapLine(label message.Line, arg string) message.Button {
	return message.Button{Label: label, Op: opForm, Arg: arg, Nonce: t.c.Form.Nonce}
}

// ordered checks the role a last time and sends the order off.
func (t *turn) ordered() {
	f := t.c.Form
	a := acts[max(actIndex(f.Op), 0)]
	if f.Op == opPlan && !f.Looked && f.Brief != nil && raises(f.Brief.Enrolment.Plan, f.Filled.Enrolment.Plan) {
		t.askLook()
		return
	}
	if f.Brief == nil || a.op != f.Op || !t.may(a.role, a.op) {
		t.c.Form = Form{}
		return
	}
	o := f.Order
	o.Actor = t.actor()
	t.seen(&o)
	t.c.Form = Form{}
	if a.made {
		o.Made = f.Brief.Made
	}
	switch a.op {
	case opPlan:
		plan := f.Filled.Enrolment.Plan
		o.Base = f.Brief.Enrolment.Plan.Rev
		plan.Rev, plan.By, plan.ByName, plan.On = o.Base+1, o.Actor.ID, o.Actor.Name, t.e.Office.Date
		o.Plan = &plan
	case opRebind:
		o.Code = flows.NewCode(string(f.Brief.Patient)[:min(2, len(f.Brief.Patient))], t.e.Seed)
	}
	t.tell(flows.Target{Patient: f.Brief.Patient}, o)
}
