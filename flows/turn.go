package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// turn is one event being handled for one patient, and what follows so far. All
// that a person hears of one event is gathered into one message, so that
// "saved" and the next question arrive together.
type turn struct {
	pr  *practice.Practice
	p   *Patient // the one being changed
	e   *Event
	out Out

	answer     Send   // the one message of this turn to the patient
	answerAt   int    // its place in out, from 1; 0 while there is none
	via        int32  // the first escalation that this turn tells the patient about; 0 for none
	alarm      bool   // an E flag was raised: the patient hears that alone
	act        string // its caution
	advising   bool   // the evening's advice is being worked out: it is told in its own place
	hush       bool   // something else is asked in this turn: the check-in waits
	spoke      bool   // the patient was told something outside the one message
	unsure     bool   // what goes to people is perhaps none of it
	unanswered bool   // ... and was asked about without an answer
	words      bool   // what goes to people is words that were not understood
	medium     Media  // what this turn's message is besides its words
	desked     bool   // something was put in front of people
	nobody     bool   // ... and no person could be reached
	carded     bool   // ... with the words of this turn: a flag or a notice that they raised
	notes      []nightNote
	looking    context          // what the conditions of questions see
	saying     Said             // what is being bound
	answers    bool             // an answer was stored that can be undone
	told       []saidBefore     // what was told anew, and what was said of it before
	rose       []redflag.Raised // the flags raised so far: a text may name one by a phrase and by an answer
}

// start takes an event for a patient, with the room that earlier ones left.
func (t *turn) start(pr *practice.Practice, p *Patient, e *Event) {
	out, notes, rose := t.out, t.notes[:0], t.rose[:0]
	out.reset()
	*t = turn{pr: pr, p: p, e: e, out: out, notes: notes, rose: rose}
}

// nightNote is a diary row to write when the turn ends, as it stands then.
type nightNote struct {
	night civil.Date
	src   chart.Source
}

// note writes a revision of a night's diary row when the turn ends: one row a
// night, from the last source.
func (t *turn) note(night civil.Date, src chart.Source) {
	for i := range t.notes {
		if t.notes[i].night == night {
			t.notes[i].src = src
			return
		}
	}
	t.notes = append(t.notes, nightNote{night, src})
}

// reply adds lines to the one message of this turn to the patient and returns
// it, for a keyboard; the keyboard set last wins. In a turn that raised an E
// flag nothing of it is sent.
func (t *turn) reply(lines ...message.Line) *message.Message {
	if t.answerAt == 0 {
		t.post(Send{})
		t.answerAt = len(t.out.sends)
		t.answer = Send{Lane: LaneReply}
		t.answer.Msg.Lines = t.out.lines[:0]
	}
	t.answer.Msg.Lines = append(t.answer.Msg.Lines, lines...)
	return &t.answer.Msg
}

// line is Say whose values are kept in the turn's own room.
func (t *turn) line(key string, args ...message.Arg) message.Line {
	return message.Line{Key: key, Args: t.out.keepArgs(args)}
}

// say is reply for a line without values.
func (t *turn) say(key string) *message.Message { return t.reply(message.Line{Key: key}) }

// send orders any other message. Chat 0 is the patient's.
func (t *turn) send(s Send) {
	if s.Chat == 0 || s.Chat == t.p.Chat {
		t.spoke = true
	}
	t.post(s)
}

func (t *turn) post(s Send) { put(&t.out, isSend, &t.out.sends, s) }

// sent reports whether the patient hears anything of this turn.
func (t *turn) sent() bool { return t.spoke || t.answerAt != 0 }

// quiet reports whether the patient may hear nothing more in this turn: an
// emergency stands alone, so no question may be opened.
func (t *turn) quiet() bool { return t.alarm }

func (t *turn) tell(to Target, b Body) { put(&t.out, isTell, &t.out.tells, Tell{To: to, Body: b}) }

func (t *turn) log(what string, args ...message.Arg) {
	put(&t.out, isLog, &t.out.logs, Log{What: what, Args: t.out.keepArgs(args)})
}

func (t *turn) own(o Own) { put(&t.out, isOwn, &t.out.owns, o) }

func (t *turn) withdraw(key string) {
	put(&t.out, isWithdraw, &t.out.withdraws, Withdraw{Key: key})
}

// timer sets a timer at the patient's wall time, office at the practice's, and
// after some minutes from now; clear takes one back.
func (t *turn) timer(name string, w civil.Wall) { t.set(SetTimer{Name: name, At: w}) }
func (t *turn) office(name string, w civil.Wall) {
	t.set(SetTimer{Name: name, At: w, Office: true})
}
func (t *turn) after(name string, minutes int) {
	t.set(SetTimer{Name: name, After: max(minutes, 1)})
}
func (t *turn) set(s SetTimer) { put(&t.out, isTimer, &t.out.timers, s) }
func (t *turn) clear(name string) {
	put(&t.out, isClear, &t.out.clears, ClearTimer{Name: name})
}

// now is the instant of the event in Unix seconds.
func (t *turn) now() int64 { return t.e.At.Unix() }

// nights is the plan's night of the event's wall time.
func (t *turn) nights() (tonight civil.Date) { return t.p.Plan.Night(t.e.Wall) }

// coming is the night whose evening comes next, or has come: what staff order
// is known to that evening's advice.
func (t *turn) coming() civil.Date { return t.p.Plan.Coming(t.e.Wall) }

// fresh makes a nonce of the event's seed; n tells several of one event apart.
func (t *turn) fresh(n int) string { return NewNonce(t.e.Seed, n) }

// facts are what the rules need now.
func (t *turn) facts() pacing.Facts { return t.p.Facts(t.pr, t.e) }

// speaking reports whether the patient's chat can be written to.
func (t *turn) speaking() bool { return t.p.Chat != 0 && !t.p.Bounced }

// trusted reports whether the chat was agreed to and confirmed by staff: before
// that there are no check-ins and no advice.
func (t *turn) trusted() bool {
	return t.p.trusted()
}

func (p *Patient) trusted() bool {
	return p.Chat != 0 && p.Sure == p.Gen && p.Course.State > chart.Consented
}

// answerTo answers a person of the practice.
func (t *turn) answerTo(chat int64, who practice.Staff, lines ...message.Line) {
	if chat != 0 {
		t.post(Send{Chat: chat, Lang: who.Lang, Lane: LaneReply, Msg: message.Message{Lines: slices.Clone(lines)}})
	}
}

// keySaid is the key of what the patient is told that has no other.
const keySaid = "said"

// label gives the messages to the patient that have no key theirs: that which
// tells what escalations are about, the urgent one where there is any, can be
// told apart from the rest.
func (t *turn) label() {
	urgent, own := false, false
	for i := range t.out.sends {
		s := &t.out.sends[i]
		urgent = urgent || s.Lane == LaneUrgent && s.Key == "" && t.mineTo(s)
	}
	for i := range t.out.sends {
		s := &t.out.sends[i]
		switch {
		case s.Key != "" || !t.mineTo(s):
		case t.via != 0 && urgent == (s.Lane == LaneUrgent):
			s.Key, own = toldKey(t.via), true
		default:
			s.Key = keySaid
		}
	}
	if own || t.via == 0 {
		return
	}
	for i := range t.p.Escalations { // it stands in the evening's advice, which has a key of its own
		if x := &t.p.Escalations[i]; x.Via == t.via && !x.Heard {
			x.Via = 0
		}
	}
}

func (t *turn) mineTo(s *Send) bool { return s.Chat == 0 || s.Chat == t.p.Chat }

// done ends the turn: the one message takes its place among what follows. An
// emergency stands alone: of what the patient was to hear, only the urgent lane
// is left.
func (t *turn) done() {
	t.settingConfirmed()
	if s, ok := t.e.Body.(Said); ok && s.Reading.Word != reading.WordUndo {
		t.p.Talk.Beside = !t.answers
	}
	if t.alarm && t.p.Emergency() != nil { // a "yes" after it answers no question of the day
		t.endCheckIn()
	}
	frozen := t.frozen()
	if frozen {
		t.freeze()
	}
	t.fitQuotes()
	for _, n := range t.notes {
		if e, ok := t.p.Course.Entry(n.night); ok {
			put(&t.out, isNote, &t.out.notes, Note{Entry: e, Source: n.src})
		}
	}
	if t.answerAt != 0 {
		t.out.sends[t.answerAt-1] = t.answer
		t.out.lines = t.answer.Msg.Lines
	}
	t.label()
	t.keepWords()
	t.out.keep(func(s *Send) bool {
		m := &s.Msg
		empty := len(m.Lines) == 0 && m.View == message.NoView && m.Media == ""
		mine := t.mineTo(s)
		return !(empty || t.alarm && mine && s.Lane != LaneUrgent || frozen && mine && t.withheld(s))
	})
}
