package flows

import (
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Nothing urgent goes quiet. An E rings until a person takes it, at any hour of
// any day, and soon the outside call is made as well, again and again. An S does
// so in office hours; outside of them it rings who is on duty, or else the
// outside call is made once a night, and everyone hears of it when the office opens.

// hourly is how many minutes pass between rings when the first have not helped.
const hourly = 60

// wide is at which ring an E, or an S in office hours, calls outside, and how many rings those on duty have
// with an S of the night before it does: the first goes to those on duty, the
// second, at the deadline, to everyone.
const (
	wideE = 3
	wideS = 2 + len(urgentRings)
)

// urgentRings are the minutes past the deadline of the first rings; then each hour.
var urgentRings = [...]int{15, 30, 60}

// closed reports whether nobody is about at the practice.
func (t *turn) closed() bool { return t.pr.Closed(t.e.Office) }

// anybody reports whether any person of the practice can be reached.
func (t *turn) anybody() bool {
	for i := range t.pr.Staff {
		if t.pr.Staff[i].Reachable() {
			return true
		}
	}
	return false
}

// firstUrgent tells who is on duty at any hour, and sets the deadline.
func (t *turn) firstUrgent(esc *Escalation) {
	minutes := Deadline(t.pr, esc.Class)
	esc.Deadline = t.now() + int64(minutes)*60
	esc.Calls, esc.CallAt = 0, 0
	reached := t.ring(esc, false)
	if !reached {
		t.call(esc)
	}
	t.ringAgain(esc, minutes, reached)
}

// ringUrgent rings an E or S that nobody has taken.
func (t *turn) ringUrgent(esc *Escalation) {
	reached := t.ring(esc, true)
	if esc.Rings == 2 {
		t.log("escalation.late", message.ArgN("n", int(esc.N)))
	}
	night := esc.Class == redflag.ClassS && t.closed()
	day := !night && t.now() >= esc.Deadline+int64(urgentRings[0])*60 // however often it rang before the office opened
	if !reached || esc.Rings >= wideE && (esc.Class == redflag.ClassE || day) || night && int(esc.Rings) >= wideS {
		t.call(esc)
	}
	pause := hourly
	switch past := int(esc.Rings) - 2; { // rings after the deadline so far
	case past <= 0:
		pause = urgentRings[0]
	case past < len(urgentRings):
		pause = urgentRings[past] - urgentRings[past-1]
	}
	t.ringAgain(esc, pause, reached && !(night && int(esc.Rings) >= wideS))
}

// ringAgain sets the next ring: after the pause, sooner where the office opens or
// the outside call is due. An S that has nobody left to ring waits for the office, or
// for the call of the night, where one of the day was made a moment ago.
func (t *turn) ringAgain(esc *Escalation, pause int, more bool) {
	name, left := ringName(esc.N), (esc.CallAt-t.now()+59)/60
	if left > 0 {
		pause = min(pause, int(left))
	}
	if opens, _ := t.pr.Opens(t.e.Office); t.closed() {
		wait := minutesTo(t.e.Office, opens)
		switch {
		case esc.Class == redflag.ClassS && !more && left > 0 && left < wait-hourly: // an hour, for clocks that shift
			pause = int(left)
		case esc.Class == redflag.ClassS && !more, wait < int64(pause):
			t.office(name, opens)
			return
		}
	}
	t.after(name, pause)
}

// heldArg marks the timer that looks whether whoever has taken it is still there.
const heldArg = "held"

// hold sets the timer of what a person has taken: a reminder each office morning,
// and for what is urgent a look each hour whether that person is still there.
func (t *turn) hold(esc *Escalation) {
	name, morning := ringName(esc.N), t.pr.NextMorning(t.e.Office)
	if !esc.Class.Worse(redflag.ClassN) {
		if end, hours := t.pr.DayEnds(t.e.Office); hours && t.promised(esc) {
			t.set(SetTimer{Name: name, At: end, Office: true, Arg: promisedArg})
			return
		}
		t.office(name, morning)
		return
	}
	if opens, _ := t.pr.Opens(t.e.Office); t.closed() {
		morning = opens
	}
	if minutesTo(t.e.Office, morning) > hourly {
		t.set(SetTimer{Name: name, After: hourly, Arg: heldArg})
		return
	}
	t.office(name, morning)
}

// promisedArg marks the timer of a call that was promised for today, brokenArg that of
// one that was not made by the next morning: then it is nobody's and rings anew.
const (
	promisedArg = "call"
	brokenArg   = "broken"
)

// promised reports whether an item has a call in it that the patient was promised.
func (t *turn) promised(esc *Escalation) bool {
	for _, i := range t.p.Item(esc) {
		if t.p.Escalations[i].Reason == WhyCall {
			return true
		}
	}
	return false
}

// shiftOver reports whether something urgent is handed over: whoever has it is off
// duty now, has noted nothing, and somebody else is on duty.
func (t *turn) shiftOver(esc *Escalation, s practice.Staff) bool {
	if !esc.Class.Worse(redflag.ClassN) || !s.OffDuty || esc.Notes > 0 {
		return false
	}
	for i := range t.pr.Staff {
		if x := &t.pr.Staff[i]; x.ID != s.ID && x.Reachable() && !x.OffDuty {
			return true
		}
	}
	return false
}

// held reports whether an escalation is some person's, who is reminded of it. One
// whose holder has left or cannot be reached is nobody's: it rings anew.
func (t *turn) held(esc *Escalation, arg string) bool {
	if esc.AckBy == "" {
		return false
	}
	s, known := t.pr.ByID(esc.AckBy)
	late := arg == promisedArg && !t.pr.IsOpen(t.e.Office) // the day of the promise is over
	if !known || !s.Reachable() || t.shiftOver(esc, s) || arg == brokenArg {
		t.dropped(esc, 1) // the deadline is past: everyone
		return false
	}
	switch {
	case arg == moreArg:
		t.more(esc)
	case late:
		t.withdraw(escKey(esc.N))
		t.card(s, esc, message.Say("esc.promised", message.ArgN("n", int(t.p.Headline(esc.N)))))
		t.set(SetTimer{Name: ringName(esc.N), At: t.pr.NextMorning(t.e.Office), Office: true, Arg: brokenArg})
		return true
	case !esc.Class.Worse(redflag.ClassN): // the digest has it
	case arg != heldArg:
		t.withdraw(escKey(esc.N))
		t.card(s, esc, message.Say("esc.still", message.ArgN("n", int(t.p.Headline(esc.N)))))
	}
	t.hold(esc)
	return true
}
