package flows

import (
	"slices"

	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// raise takes what answers, a text or the rules have raised: the patient hears
// the cautions at once, staff get a card, and where a flag is among them
// tonight's advice is worked out again. What an E or S flag stops the rules
// have stopped.
func (t *turn) raise(rs []redflag.Raised, quote string) {
	if t.raised(rs, quote) {
		t.readvise()
	}
}

// raised is raise without the advice; it reports whether a flag was among them.
//
// An E reply is the emergency line and that row's one act, and nothing else in
// that turn: no advice, no question.
func (t *turn) raised(rs []redflag.Raised, quote string) (flagged bool) {
	var urgent, plain []message.Line
	called := false
	for i := range rs {
		r := &rs[i]
		if r.Flag && slices.ContainsFunc(t.rose, func(x redflag.Raised) bool {
			return x.ID == r.ID &&
				!r.Class.Worse(x.Class)
		}) {
			flagged = true
			continue
		}
		esc := t.toDeskFor(r.Role, r.Class, r.ID, quote)
		if r.Rings && esc.Quiet {
			t.loud(esc)
		}
		t.carded = t.carded || quote != ""
		if esc.Unsure && r.Flag {
			esc.Unsure, esc.Unread = false, false
			t.joins(esc) // it was an item of its own
		}
		switch {
		case r.Caution == "":
		case r.Flag:
			t.tells(esc, r.Caution)
		default: // the evening's advice says it
			t.tellsWith(esc, r.Caution, 0)
		}
		if !r.Flag {
			continue
		}
		flagged = true
		t.rose = append(t.rose, *r)
		t.linkFlag(r.ID, esc.N)
		line := message.Say(r.Caution, t.numbers()...)
		switch {
		case r.Caution == "":
		case r.Class == redflag.ClassE && !t.alarm:
			t.alarm, t.act = true, r.Caution
			t.hushAll()
			t.urgent(message.Say(emergencyLine, t.numbers()...), line)
		case r.Class == redflag.ClassS:
			urgent = addLine(urgent, line)
		case r.Class != redflag.ClassE:
			plain = addLine(plain, line)
			called = called || r.Class.Worse(redflag.ClassR)
		}
	}
	switch {
	case t.alarm: // of all, the first emergency's act alone is said
		for i := range t.p.Escalations {
			if x := &t.p.Escalations[i]; x.Via == t.via && x.Told != t.act {
				x.Via = 0
			}
		}
	case len(urgent) > 0:
		t.urgent(append(append(append(urgent, plain...), t.leftOut(rs)...), t.whenCalled(redflag.ClassS)...)...)
	case called:
		t.reply(append(append(plain, t.leftOut(rs)...), t.whenCalled(redflag.ClassN)...)...)
	case len(plain) > 0: // routine: the next visit is soon enough
		t.reply(plain...)
	}
	return flagged
}

// hushAll takes back what waits for the patient's chat: said after the caution
// it could contradict it. Other cautions stand.
func (t *turn) hushAll() {
	t.withdrawAll()
	t.withdraw(keySaid)
}

// urgent sends lines to the patient before everything else.
func (t *turn) urgent(lines ...message.Line) {
	t.send(Send{Lane: LaneUrgent, Msg: message.Message{Lines: lines}})
}

// Emergency gives the caution of an emergency among what an event ordered: the
// words that the patient hears then, and nothing else.
func Emergency(fx []Effect) (message.Message, bool) {
	for _, x := range fx {
		if s, ok := x.(Send); ok && s.Lane == LaneUrgent && len(s.Msg.Lines) > 0 && s.Msg.Lines[0].Key == emergencyLine {
			return s.Msg, true
		}
	}
	return message.Message{}, false
}

// emergencyLine is the key of the line that every emergency begins with.
const emergencyLine = "emergency.line"

// linkFlag notes on a flag which escalation it feeds.
func (t *turn) linkFlag(flag string, esc int32) {
	for i := range t.p.Course.Flags {
		if f := &t.p.Course.Flags[i]; f.ID == flag && f.Esc == 0 {
			f.Esc = esc
		}
	}
}

// whenAsked is whenCalled for who asked to be called: that is promised for today, and
// held to (escalation_urgent.go).
func (t *turn) whenAsked() []message.Line {
	if t.nobody || !t.pr.IsOpen(t.e.Office) {
		return t.whenCalled(redflag.ClassN)
	}
	return []message.Line{message.Say("when.today", t.numbers()...)}
}

// whenCalled says when somebody will call, and whom to call before that: of the class,
// as its name says, so that patient and staff hear of one promise.
func (t *turn) whenCalled(class redflag.Class) []message.Line {
	if t.nobody { // nothing is promised for them
		return []message.Line{message.Say("when.call", t.numbers()...)}
	}
	if class == redflag.ClassN && t.pr.IsOpen(t.e.Office) && t.owed() { // an earlier promise stands
		return []message.Line{message.Say("when.today", t.numbers()...)}
	}
	if t.words {
		return t.whenRead()
	}
	if t.pr.IsOpen(t.e.Office) {
		if class.Worse(redflag.ClassN) {
			return []message.Line{message.Say("when.soon", t.numbers()...)}
		}
		next := t.pr.NextMorning(t.e.Office)
		return []message.Line{message.Say("when.workday", append(t.numbers(), message.ArgD("date", next.Date))...)}
	}
	opens, ok := t.pr.Opens(t.e.Office)
	if !ok {
		return []message.Line{message.Say("when.call", t.numbers()...)}
	}
	return t.beforeThat(message.Say("when.closed", message.ArgD("date", opens.Date), message.ArgC("time", opens.Clock)))
}

// beforeThat says, with when the office opens, whom to call before.
func (t *turn) beforeThat(lines ...message.Line) []message.Line {
	if t.pr.OutOfHours != "" {
		return append(lines, message.Say("when.before", message.ArgS("whom", t.pr.OutOfHours)))
	}
	return append(lines, message.Say("when.emergency", t.numbers()...))
}

// whenRead says when words that wait for a list are read: nobody calls because of a "thank you".
func (t *turn) whenRead() []message.Line {
	opens, ok := t.pr.Opens(t.e.Office)
	switch {
	case t.wordsLate():
		next := t.pr.NextMorning(t.e.Office)
		return []message.Line{message.Say("when.next", append(t.numbers(), message.ArgD("date", next.Date), message.ArgC("time", next.Clock))...)}
	case t.pr.IsOpen(t.e.Office):
		return []message.Line{message.Say("when.read", t.numbers()...)}
	case !ok:
		return []message.Line{message.Say("when.call", t.numbers()...)}
	}
	return t.beforeThat(message.Say("when.list", message.ArgD("date", opens.Date), message.ArgC("time", opens.Clock)))
}

// owed reports whether the patient was promised a call by today, for something said on an
// earlier day or while the office was closed, and nobody has noted anything since: a later
// promise would take that one back.
func (t *turn) owed() bool {
	for i := range t.p.Escalations {
		x := &t.p.Escalations[i]
		if x.Quiet || x.Told == "" && x.Reason != WhyMessage && x.Reason != WhyCall && x.Reason != WhyOther ||
			slices.ContainsFunc(t.p.Noted, func(n Noted) bool { return !n.At.Before(x.Raised) }) {
			continue
		}
		by := x.Raised.Date
		if !t.pr.IsOpen(x.Raised) {
			opens, ok := t.pr.Opens(x.Raised)
			if !ok {
				continue
			}
			by = opens.Date
		} else if x.Reason != WhyCall && !x.Class.Worse(redflag.ClassN) {
			by = t.pr.NextMorning(x.Raised).Date
		}
		if by <= t.e.Office.Date && x.RaisedAt != t.now() {
			return true
		}
	}
	return false
}

// numbers are what any caution may name.
func (t *turn) numbers() []message.Arg {
	emergency := t.pr.Emergency
	if emergency == "" {
		emergency = "112" // one of the two numbers ITU-T E.161.1 recommends, from memory
	}
	return t.out.keepArgs([]message.Arg{message.ArgS("number", emergency), message.ArgS("phone", t.pr.Phone),
		message.ArgS("practice", t.pr.Name), message.ArgS("fallback", t.p.Plan.Fallback),
		message.ArgK("wear", t.p.Course.WearKey()), CrisisLine(t.pr)})
}

// CrisisLine is whom somebody in a crisis may call, for a caution that names it.
func CrisisLine(pr *practice.Practice) message.Arg {
	if pr.Crisis != "" {
		return message.ArgS("crisis", pr.Crisis)
	}
	return message.ArgK("crisis", "crisis.local")
}

// addLine adds a line that is not there yet.
func addLine(lines []message.Line, l message.Line) []message.Line {
	for i := range lines {
		if lines[i].Key == l.Key {
			return lines
		}
	}
	return append(lines, l)
}
