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

// Below class S a patient is one item: whatever is open is shown, taken and
// resolved together, under the number of the first that rang. What is routine
// waits in the morning's digest and in the lists; where it is still open on the
// second working morning it becomes a card.

// routine are the reasons that wait for the digest: rows of the pacing table that
// count evenings, nights without an answer, milestones, and a test that a clinician
// has just recorded, to be decided about.
var routine = [...]string{pacing.P05.ID(), pacing.P10.ID(), pacing.P11.ID(), pacing.P12.ID(), pacing.P14.ID(),
	WhySilence, WhyMile, WhyReview, WhyRecall, WhyTest}

// isRoutine reports whether something waits for the digest: one of these reasons,
// unless the table asks for a clinician, and all of class R.
func isRoutine(class redflag.Class, reason string, role practice.Role) bool {
	if class.Worse(redflag.ClassN) {
		return false
	}
	return class == redflag.ClassR || role < practice.Clinician && slices.Contains(routine[:], reason)
}

// Routine reports whether a reason is one of those.
func Routine(reason string) bool { return slices.Contains(routine[:], reason) }

// waits reports whether something waits for a list: what is routine, words that
// nobody understood, and what goes on as a person has seen it lately.
func (t *turn) waits(class redflag.Class, reason string, role practice.Role) bool {
	return isRoutine(class, reason, role) || class == redflag.ClassN && (t.wordsWait(reason) || t.doubtWaits(reason) || t.seenLately(reason))
}

// WordsLast is how many minutes before the working day ends words are read the last
// time; wordsCard when those that nobody has read become a card: proposals.
const (
	WordsLast = 60
	wordsCard = 30
)

// wordsWait reports whether words that were not understood wait to be read with
// those of others: the list of them goes out through the day and each morning. Not so
// where the patient has something urgent, or flagged, open.
func (t *turn) wordsWait(reason string) bool {
	return t.words && reason == WhyMessage && len(t.p.Course.Flags) == 0 &&
		!slices.ContainsFunc(t.p.Escalations, func(x Escalation) bool { return x.Alone() })
}

// doubtWaits reports whether what was perhaps a danger, and was asked about without an
// answer, waits to be read as words do: not so where anything but this is in front of
// people as an item of its own, or as words, where this day's last list has gone, nor
// with what may be more urgent, changes what is worn tonight, or was at the wheel.
func (t *turn) doubtWaits(reason string) bool {
	return t.unanswered && hasTime(reason) && len(t.p.Course.Flags) == 0 &&
		(!t.pr.IsOpen(t.e.Office) || t.readBy().Date == t.e.Office.Date) &&
		!slices.ContainsFunc(t.p.Escalations, func(x Escalation) bool { return (x.Alone() || x.Reason == WhyMessage) && x.Reason != reason })
}

// hasTime reports whether a row of the flag table has time until words are read.
func hasTime(reason string) bool {
	row := redflag.Find(reason)
	heard, named := reading.DangerNamed(reason)
	return row != nil && row.Wear == redflag.WearKeep && row.Field != chart.Driving && named && heard.Class() == 'N'
}

// asWords reports whether something waits, or would, in the list of words.
func (x *Escalation) asWords() bool {
	return x.Class == redflag.ClassN && (x.Reason == WhyMessage || x.Unsure)
}

// readBy is when words said now become a card: before the end of this working day,
// or of the next where they came too late.
func (t *turn) readBy() civil.Wall {
	end, hours := t.pr.DayEnds(t.e.Office)
	if !hours {
		return t.e.Office.Add(4 * hourly)
	}
	if !t.e.Office.Before(end.Add(-WordsLast)) {
		end, _ = t.pr.DayEnds(civil.Wall{Date: end.Date + 1})
	}
	return end.Add(-wordsCard)
}

// wordsCame tells the practice that somebody has to read words, which plans when;
// where that is planned, or the morning's digest has them, it knows.
func (t *turn) wordsCame(esc *Escalation) {
	known := t.pr.Round > t.now() || t.closed() && t.pr.Digest == ""
	if esc.asWords() && !known {
		t.tell(Target{Practice: true}, Manage{Op: ManageWords})
	}
}

// wordsLate reports whether what is said now waits for the next working day's list.
func (t *turn) wordsLate() bool {
	return t.words && t.pr.IsOpen(t.e.Office) && t.readBy().Date != t.e.Office.Date
}

// lasting are notices that rules, or the weekly questions, give again and again for
// as long as something lasts.
var lasting = [...]string{pacing.P03.ID(), pacing.P09.ID(), pacing.P11.ID(), pacing.P13.ID(), pacing.P16.ID(), pacing.P17.ID(),
	"sleepy.high"}

// seenDays is for how many days a person knows of something that lasts: a proposal.
const seenDays = 28

// seenLately reports whether a person of the practice has closed the same within
// four weeks: then it is news no more, and a line of the digest.
func (t *turn) seenLately(reason string) bool {
	return slices.Contains(lasting[:], reason) && slices.ContainsFunc(t.p.Closed, func(d Deed) bool {
		_, person := t.pr.ByID(d.By)
		return d.Reason == reason && person && d.At.Date > t.e.Office.Date-seenDays
	})
}

// Alone reports whether an escalation is an item of its own: what is urgent, what
// is perhaps no danger at all, and whether this is the right person.
func (x *Escalation) Alone() bool {
	return x.Class.Worse(redflag.ClassN) || x.Unsure || x.Reason == WhyConsent
}

// Item lists what is shown, taken and resolved together with an escalation, by
// their places.
func (p *Patient) Item(x *Escalation) (places []int) {
	for i := range p.Escalations {
		if y := &p.Escalations[i]; y.N == x.N || !x.Alone() && !y.Alone() {
			places = append(places, i)
		}
	}
	return places
}

// Urgent is the worst class of all that is open of a patient, flags too; 0 where nothing is.
func (p *Patient) Urgent() (worst redflag.Class) {
	for i := range p.Escalations {
		worst = worseOf(worst, p.Escalations[i].Class)
	}
	for i := range p.Course.Flags {
		worst = worseOf(worst, p.Course.Flags[i].Class)
	}
	return worst
}

// UrgentIn is the worst class of an item, with the flags that feed it.
func (p *Patient) UrgentIn(x *Escalation) (worst redflag.Class) {
	worst = x.Class
	for _, i := range p.Item(x) {
		y := &p.Escalations[i]
		worst = worseOf(worst, y.Class)
		for j := range p.Course.Flags {
			if f := &p.Course.Flags[j]; f.Esc == y.N {
				worst = worseOf(worst, f.Class)
			}
		}
	}
	return worst
}

func worseOf(a, b redflag.Class) redflag.Class {
	if a == 0 || b.Worse(a) {
		return b
	}
	return a
}

// Lead reports whether an escalation gives its item the number: the first that is
// not waiting for the digest, else the first.
func (p *Patient) Lead(x *Escalation) bool {
	if x.Alone() {
		return true
	}
	y := p.lead()
	return y != nil && y.N == x.N
}

func (p *Patient) lead() (lead *Escalation) {
	for i := range p.Escalations {
		if y := &p.Escalations[i]; !y.Alone() && (lead == nil || lead.Quiet && !y.Quiet) {
			lead = y
		}
	}
	return lead
}

// joins puts a new reason into the patient's open item: the card is shown again,
// and rings for whoever has taken it, or those on duty, in office hours; outside of
// them when the office opens. It reports whether there is an item that rang.
func (t *turn) joins(esc *Escalation) bool {
	lead := t.p.lead()
	if esc.Alone() || lead == nil || lead.N == esc.N || lead.Quiet {
		return false
	}
	esc.Rings, esc.AckBy, esc.AckAt = lead.Rings, lead.AckBy, lead.AckAt
	if o, own := t.e.Body.(Order); lead.AckBy != "" && !(own && o.Actor.ID == lead.AckBy) {
		esc.Unread = true // whoever has taken the item has not seen this
	}
	t.dayEnd(esc)
	if lead.Rings == 0 { // it waits for the office
		return true
	}
	if opens, ok := t.pr.Opens(t.e.Office); ok && opens != t.e.Office {
		esc.Rings = 0
		t.reshow(lead.N)
		t.set(SetTimer{Name: ringName(lead.N), At: opens, Office: true, Arg: moreArg})
		return true
	}
	t.more(lead)
	return true
}

// moreArg marks the timer of an item that grew while the office was closed.
const moreArg = "more"

// more shows an item that grew to whoever has taken it, else to those on duty.
func (t *turn) more(lead *Escalation) {
	if s, ok := t.pr.ByID(lead.AckBy); ok && s.Reachable() {
		t.withdraw(escKey(lead.N))
		n := message.ArgN("n", int(t.p.Headline(lead.N)))
		if x := t.newest(lead); x.N != lead.N {
			t.card(s, lead, message.Say("esc.new.yours", n, message.ArgK("reason", ReasonKey(x.Reason))))
		} else {
			t.card(s, lead, message.Say("esc.more", n))
		}
		t.showMedia(s, lead, false)
		t.mediaOut(lead)
		return
	}
	t.ring(lead, false)
}

// later has something wait for a list: what is routine until the second working
// morning, words until shortly before the working day ends; then it is a card.
func (t *turn) later(esc *Escalation) {
	esc.Quiet = true
	if esc.asWords() {
		by := t.readBy()
		esc.Deadline = t.now() + minutesTo(t.e.Office, by.Add(wordsCard))*60
		t.office(ringName(esc.N), by)
		t.wordsCame(esc)
	} else {
		t.office(ringName(esc.N), t.pr.NextMorning(t.pr.NextMorning(t.e.Office)))
	}
	if lead := t.p.lead(); lead != nil && lead.N != esc.N {
		t.reshow(lead.N)
	}
}

// loud makes a card of what waited for the digest.
func (t *turn) loud(esc *Escalation) {
	esc.Quiet = false
	t.clear(ringName(esc.N))
	t.log("escalation.card", message.ArgN("n", int(esc.N)), message.ArgS("reason", esc.Reason))
	if !t.joins(esc) {
		t.firstRing(esc)
	}
}

// promote gives the number of an item whose first reason went away to the next,
// which goes on as the first would have.
func (t *turn) promote() {
	lead := t.p.lead()
	switch {
	case lead == nil || lead.Quiet:
	case lead.AckBy != "":
		t.hold(lead)
	case lead.Rings == 0:
		t.firstRing(lead)
	default:
		t.toAll(ringName(lead.N), t.dayEnd(lead))
	}
}

// listed reports whether an item was shown often enough to be a line of the
// morning's digest from now on: not so where a flag, perhaps a danger, or words
// that nobody has read are in it.
func (t *turn) listed(esc *Escalation) bool {
	for _, i := range t.p.Item(esc) {
		if x := &t.p.Escalations[i]; x.Unsure || x.Unread || t.flagged(x) || redflag.Find(x.Reason) != nil {
			return false
		}
	}
	return esc.Rings >= 2
}

// List names the list that it waits in: a doubt is read with the words.
func (x *Escalation) List() string {
	if x.Unsure {
		return ListOf(WhyMessage)
	}
	return ListOf(x.Reason)
}

// ListOf names the list that something routine waits in.
func ListOf(reason string) string {
	switch reason {
	case WhySilence:
		return "silent"
	case WhyMile:
		return "calls"
	case WhyMessage:
		return "words"
	case WhyTest:
		return "tests"
	case WhyReview, WhyRecall:
		return reason
	}
	return "routine"
}

// sweep closes what is routine in a list, as far as it was there when the list was
// shown and this person may: what is flagged, taken by somebody else, needs a
// clinician or asks for a call stays, and what is perhaps a danger, which has a tap of its own. Who did
// it is in the journal.
func (t *turn) sweep(o Order, who practice.Staff) {
	for i := len(t.p.Escalations) - 1; i >= 0; i-- {
		x := &t.p.Escalations[i]
		if x.Quiet && !x.Unsure && x.List() == o.Flag && max(x.RaisedAt, x.GrewAt) <= o.At && who.Role >= mayResolve(x.Reason) && !t.flagged(x) && !t.p.Stays(x) &&
			(x.AckBy == "" || x.AckBy == who.ID) {
			t.close(x.N, who.ID, "list")
		}
	}
}

// heardAgain ends a silence that nobody has taken: the patient answers again.
func (t *turn) heardAgain() {
	t.p.Talk.Unheard = 0
	for i := len(t.p.Escalations) - 1; i >= 0; i-- {
		if x := &t.p.Escalations[i]; x.Reason == WhySilence && x.AckBy == "" {
			t.close(x.N, "patient", "")
		}
	}
}
