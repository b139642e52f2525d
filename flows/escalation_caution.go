package flows

import "slices"

// raise takes what answers, a text or the rules have raised: the patient hears
// the cautions at once, staff get a card, and where a flag is among them
// tonight's advice is worked out again. What an E or S flag stops the rules
// have stopped.
func (t *turn) raise(rs []Raised, quote string) {
	if t.raised(rs, quote) {
		t.readvise()
	}
}

// raised is raise without the advice; it tells whether a flag was among them.
//
// An E reply is the emergency line and that row's one act, and nothing else in
// that turn: no advice, no question.
func (t *turn) raised(rs []Raised, quote string) (flagged bool) {
	var urgent, plain []Line
	called := false
	for i := range rs {
		r := &rs[i]
		if r.Flag && slices.ContainsFunc(t.rose, func(x Raised) bool { return x.ID == r.ID && !r.Class.Worse(x.Class) }) {
			flagged = true
			continue
		}
		esc := t.desk(r.Class, r.ID, quote)
		if r.Caution != "" {
			esc.Told = r.Caution
		}
		if !r.Flag {
			continue
		}
		flagged = true
		t.rose = append(t.rose, *r)
		t.link(r.ID, esc.N)
		line := Say(r.Caution, t.numbers()...)
		switch {
		case r.Caution == "":
		case r.Class == ClassE && !t.alarm:
			t.alarm = true
			t.urgent(Say("emergency.line", t.numbers()...), line)
		case r.Class == ClassS:
			urgent = addLine(urgent, line)
		case r.Class != ClassE:
			plain = addLine(plain, line)
			called = called || r.Class.Worse(ClassR)
		}
	}
	switch {
	case t.alarm:
	case len(urgent) > 0:
		t.urgent(append(append(urgent, plain...), t.when(ClassS)...)...)
	case called:
		t.reply(append(plain, t.when(ClassN)...)...)
	case len(plain) > 0: // routine: the next visit is soon enough
		t.reply(plain...)
	}
	return flagged
}

// urgent sends lines to the patient before everything else.
func (t *turn) urgent(lines ...Line) {
	t.send(Send{Lane: LaneUrgent, Msg: Message{Lines: lines}})
}

// link notes on a flag which escalation it feeds.
func (t *turn) link(flag string, esc int32) {
	for i := range t.p.Course.Flags {
		if f := &t.p.Course.Flags[i]; f.ID == flag && f.Esc == 0 {
			f.Esc = esc
		}
	}
}

// when says when somebody will call, and whom to call before that.
func (t *turn) when(class Class) []Line {
	if t.pr.IsOpen(t.e.Office) {
		if class.Worse(ClassN) {
			return []Line{Say("when.soon", t.numbers()...)}
		}
		return []Line{Say("when.today", t.numbers()...)}
	}
	opens, ok := t.pr.Opens(t.e.Office)
	if !ok {
		return []Line{Say("when.call", t.numbers()...)}
	}
	lines := []Line{Say("when.closed", ArgD("date", opens.Date), ArgC("time", opens.Clock))}
	if t.pr.OutOfHours != "" {
		return append(lines, Say("when.before", ArgS("whom", t.pr.OutOfHours)))
	}
	return append(lines, Say("when.emergency", t.numbers()...))
}

// numbers are what any caution may name.
func (t *turn) numbers() []Arg {
	emergency := t.pr.Emergency
	if emergency == "" {
		emergency = "112" // one of the two numbers ITU-T E.161.1 recommends, from memory
	}
	return t.out.keepArgs([]Arg{ArgS("number", emergency), ArgS("phone", t.pr.Phone), ArgS("practice", t.pr.Name), ArgS("fallback", t.p.Plan.Fallback), ArgK("wear", t.p.Course.WearKey())})
}

// addLine adds a line that is not there yet.
func addLine(lines []Line, l Line) []Line {
	for i := range lines {
		if lines[i].Key == l.Key {
			return lines
		}
	}
	return append(lines, l)
}
