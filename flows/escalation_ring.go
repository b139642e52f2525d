package flows

import (
	"strconv"

	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// After a deadline everyone is told, and again after these minutes past it; an E
// or S then each hour (escalation_urgent.go), a flag each office morning, and the
// rest is a line of the digest.
var Rings = [...]int{15, 30, 60, 240}

// firstRing sets the deadline and tells who is on duty: an E or S at any hour,
// the rest when the office is open.
func (t *turn) firstRing(esc *Escalation) {
	name := ringName(esc.N)
	if esc.Class.Worse(redflag.ClassN) {
		t.firstUrgent(esc)
		return
	}
	end := t.dayEnd(esc)
	if opens, ok := t.pr.Opens(t.e.Office); ok && opens != t.e.Office {
		t.office(name, opens)
		return
	}
	t.ring(esc, false)
	if t.now()-esc.RaisedAt < hourly*60 && minutesTo(t.e.Office, end) < hourly { // so soon it would be the same again
		end = t.pr.NextMorning(t.e.Office)
	}
	t.toAll(name, end)
}

// wideArg marks the timer at which everyone hears of what nobody has taken, however often
// its card was shown again before, as when it grew.
const wideArg = "wide"

func (t *turn) toAll(name string, at civil.Wall) {
	t.set(SetTimer{Name: name, At: at, Office: true, Arg: wideArg})
}

// dayEnd sets the deadline of what can wait for this working day, and gives its end.
func (t *turn) dayEnd(esc *Escalation) civil.Wall {
	end, hours := t.pr.DayEnds(t.e.Office)
	if !hours {
		end = t.e.Office.Add(1440)
	}
	if esc.Class == redflag.ClassN {
		esc.Deadline = t.now() + minutesTo(t.e.Office, end)*60 // exact but for a shift of the clocks in between; the timer is set by the wall
	}
	return end
}

// ringDue takes the timer of one escalation: it rings again, wider each time.
func (t *turn) ringDue(n int32, arg string) {
	esc := t.escalation(n)
	if esc == nil {
		return
	}
	name := ringName(n)
	if t.pr.Frozen() && esc.Epoch != t.pr.Epoch { // of the copy: it may be settled long since
		t.after(name, Rings[0])
		return
	}
	morning := t.pr.NextMorning(t.e.Office)
	switch {
	case esc.Quiet:
		if esc.AckBy == "" && t.p.Eased(esc) { // answered since: it stays a line of the digest, and is looked at again
			t.office(name, morning)
			return
		}
		if esc.AckBy == "" {
			t.loud(esc)
		}
		return
	case !t.p.Lead(esc): // its item rings for it
		return
	case t.held(esc, arg):
		return
	case esc.Class.Worse(redflag.ClassN):
		t.ringUrgent(esc)
		return
	case t.listed(esc) && arg != moreArg && arg != wideArg: // the digest says each morning that nobody has taken it
		return
	}
	if esc.Rings == 0 { // the office has opened
		t.ring(esc, false)
		if end, ok := t.pr.DayEnds(t.e.Office); ok {
			t.toAll(name, end)
			return
		}
		t.toAll(name, morning)
		return
	}
	t.ring(esc, true)
	if esc.Rings == 2 {
		t.log("escalation.late", message.ArgN("n", int(n)))
	}
	past := int(esc.Rings) - 2 // rings after the deadline so far
	switch {
	case past >= len(Rings), !t.pr.IsOpen(t.e.Office):
		// what can wait for a working day does not ring at night
		t.office(name, morning)
	case past == 0:
		t.after(name, Rings[0])
	default:
		t.after(name, Rings[past]-Rings[past-1])
	}
}

// ring sends the card to each person on duty, or to everyone, and the bare
// headline to the group; it reports whether it reached anybody. Where nobody at
// all can be reached the patient is told to telephone, and the escalation stays
// open and climbs.
func (t *turn) ring(esc *Escalation, everyone bool) (reached bool) {
	esc.Rings = min(esc.Rings+1, 9999)
	for _, i := range t.p.Item(esc) { // one card shows all of it
		if x := &t.p.Escalations[i]; !x.Quiet {
			x.Rings = esc.Rings
		}
	}
	t.withdraw(escKey(esc.N))
	duty := esc.Class == redflag.ClassS && t.closed() // nobody else is woken for what has time until the office opens
	again := everyone && esc.Rings > 1
	reached = t.ringTo(esc, everyone && !duty, again) || !everyone && !duty && t.ringTo(esc, true, again)
	if reached {
		t.mediaOut(esc)
	}
	if !reached && !(duty && t.anybody()) && esc.Class.Worse(redflag.ClassR) && esc.Rings <= 2 {
		t.log("escalation.nobody", message.ArgN("n", int(esc.N)))
		t.nobody = true
		if !t.alarm {
			t.urgent(message.Say("when.nobody", message.ArgS("phone", t.pr.Phone)))
		}
	}
	if t.pr.Group != 0 && esc.Class.Worse(redflag.ClassR) {
		t.send(Send{Chat: t.pr.Group, Lang: t.pr.GroupLang, Lane: laneOf(esc.Class), Key: escKey(esc.N),
			Msg: message.Message{View: message.ViewEscalation, Subject: t.p.ID, MediaOf: strconv.Itoa(int(esc.N))}})
	}
	return reached
}

// whose is the role that a card below S goes to at first: of those on duty the
// assistants, or the clinicians where only they may resolve something of it, as
// every flag. At the end of the day everyone hears of what nobody has taken. NoRole
// is everyone on duty: so with what is perhaps a danger, and who the right person is.
func (t *turn) whose(esc *Escalation) practice.Role {
	role := practice.Assistant
	for _, i := range t.p.Item(esc) {
		x := &t.p.Escalations[i]
		if x.Alone() || x.Reason == WhySecond {
			return practice.NoRole
		}
		role = max(role, mayResolve(x.Reason))
	}
	for i := range t.pr.Staff {
		if s := &t.pr.Staff[i]; s.Role == role && s.Reachable() && !s.OffDuty {
			return role
		}
	}
	return practice.NoRole
}

// ringLine is the first line of a card that rings: who had it before, or what is new
// of it, where that is not what it rang for first.
func (t *turn) ringLine(esc *Escalation, again bool) message.Line {
	n := message.ArgN("n", int(t.p.Headline(esc.N)))
	newest := t.newest(esc)
	switch by, known := t.pr.ByID(esc.HadBy); {
	case known && by.Removed:
		return message.Say("esc.left", n, message.ArgS("who", by.Label))
	case known:
		return message.Say("esc.dropped", n, message.ArgS("who", by.Label))
	case newest.N != esc.N && newest.RaisedAt == t.now():
		return message.Say("esc.new", n, message.ArgK("reason", ReasonKey(newest.Reason)))
	case again:
		return message.Say("esc.again", n)
	}
	return message.Say("esc.head", n)
}

// newest is what an item grew by last.
func (t *turn) newest(esc *Escalation) *Escalation {
	newest := esc
	for _, i := range t.p.Item(esc) {
		if x := &t.p.Escalations[i]; x.RaisedAt > newest.RaisedAt {
			newest = x
		}
	}
	return newest
}

func (t *turn) ringTo(esc *Escalation, everyone, again bool) (reached bool) {
	least := practice.NoRole
	if !everyone && !esc.Class.Worse(redflag.ClassN) {
		least = t.whose(esc)
	}
	for i := range t.pr.Staff {
		if s := t.pr.Staff[i]; s.Reachable() && (everyone || !s.OffDuty) && (least == practice.NoRole || s.Role == least) {
			t.card(s, esc, t.ringLine(esc, again))
			t.showMedia(s, esc, esc.Rings <= 2)
			reached = true
		}
	}
	return reached
}

func laneOf(c redflag.Class) Lane {
	if c.Worse(redflag.ClassN) {
		return LaneUrgent
	}
	return LaneStaff
}

// ringHead begins the name of an escalation's timer.
const ringHead = "ring."

func escKey(n int32) string   { return KeyCard + strconv.Itoa(int(n)) }
func ringName(n int32) string { return ringHead + strconv.Itoa(int(n)) }

// minutesTo counts the minutes between two wall times, as if no clock shifted.
func minutesTo(from, to civil.Wall) int64 {
	return int64(to.Date-from.Date)*1440 + int64(to.Clock) - int64(from.Clock)
}
