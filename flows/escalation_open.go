package flows

import (
	"strings"

	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// What is in front of people: opened, grown, found and closed.

// The reasons for which people look at a patient besides flags and rules. They
// are part of the stored form.
const (
	WhyMessage = "message" // said something that is no answer
	WhyCall    = "call"    // asked to be called
	WhySilence = "silence" // several check-ins without an answer
	WhyBounce  = "bounce"  // the chat cannot be reached
	WhyStop    = "stop"    // said stop
	WhyPause   = "pause"   // paused the messages
	WhyLeave   = "leave"   // wants to leave and have everything erased
	WhyConsent = "consent" // agreed: is this the right person?
	WhyDecline = "decline" // did not agree
	WhyMinor   = "minor"   // is under 18
	WhyUnused  = "unused"  // the link was never used
	WhySecond  = "second"  // another chat used the link
	WhyWrong   = "wrongperson"
	WhyOther   = "voice" // voice, photo and the like while something is open
	WhyGap     = "gap"   // the program was down
	WhyReview  = "review"
	WhyPlanEnd = "planend"
	WhyMile    = "milestone"
	WhyRecall  = "recall"
	WhyTest    = "test"    // a test was recorded: decide
	WhyLetter  = "letter"  // the physician is to be written to
	WhyAfter   = "after"   // said again after everything ended
	WhyLeftOut = "leftout" // told to leave it out two nights running
	WhyWorn    = "wornout" // worn in a night for which a flag had it left out
	WhyCouple  = "couple"  // somebody else's code was given in this chat: two people on one telephone
	WhyForward = "forward" // a message that was forwarded: perhaps another's words
)

// Bounds of what is kept of one patient's escalations: a patient's stored form
// is small. Where maxOpen are open, one more grows an open one of its reason,
// whatever the day, else of its class, which then rings anew: it is in front of
// a person either way.
const (
	maxOpen   = 16
	quoteMost = 200  // runes of what was said
	wordsMore = 600  // ... in words that were not understood, of which the quote is all that people have
	quoteAll  = 8000 // bytes of all quotes together; of the longest the end goes, the oldest first
)

// toDesk puts something in front of people: an escalation of that class and
// reason is opened, or the one of the same reason and day grows. An E or S is
// never merged into another reason, and a lower one of the same reason grows
// for as long as it is open. It returns the escalation.
func (t *turn) toDesk(class redflag.Class, reason, quote string) *Escalation {
	return t.toDeskFor(practice.NoRole, class, reason, quote)
}

// toDeskFor is toDesk for what the table puts before a role.
func (t *turn) toDeskFor(role practice.Role, class redflag.Class, reason, quote string) *Escalation {
	quote = reading.Clip(quote, quoteRoom(reason))
	t.desked = true
	waits := t.medium.Message == 0 && t.waits(class, reason, role) // a picture is looked at
	if esc := t.openAlready(class, reason); esc != nil && t.overflows(esc, quote) && len(t.p.Escalations) < maxOpen {
		waits = false // a list, which closes what it shows, has no room for so many words
	} else if esc != nil {
		t.grow(esc, class, reason, quote, waits)
		if esc.Quiet && !waits {
			t.loud(esc)
		}
		t.moreMedia(esc)
		return esc
	}
	t.p.EscCount++
	t.askHeadline()
	t.p.Escalations = append(t.p.Escalations, Escalation{
		N: t.p.EscCount, Class: class, Reason: reason, Raised: t.e.Office, RaisedAt: t.now(), Quote: quote, Times: 1,
		Count: 1, Epoch: t.pr.Epoch, Unsure: t.unsure, GrewAt: t.now(),
	})
	esc := &t.p.Escalations[len(t.p.Escalations)-1]
	t.keepMedia(esc)
	t.log("escalation.raised", message.ArgN("n", int(esc.N)), message.ArgS("class", string(rune(class))),
		message.ArgS("reason", reason))
	switch {
	case waits:
		t.later(esc)
	case !t.joins(esc):
		t.firstRing(esc)
	}
	t.moreMedia(esc)
	return esc
}

// openAlready finds the open escalation that one more occurrence belongs to.
func (t *turn) openAlready(class redflag.Class, reason string) *Escalation {
	full := len(t.p.Escalations) >= maxOpen
	for i := len(t.p.Escalations) - 1; i >= 0; i-- {
		esc := &t.p.Escalations[i]
		if esc.Reason == reason && (full || esc.Raised.Date == t.e.Office.Date || !class.Worse(redflag.ClassN)) {
			return esc
		}
	}
	for i := len(t.p.Escalations) - 1; i >= 0 && full; i-- {
		if esc := &t.p.Escalations[i]; esc.Class == class {
			return esc
		}
	}
	return nil
}

// grow counts one more occurrence, quotes the new words, and shows them to
// whoever has taken it; a more urgent class, another reason, something
// urgent on another day, or the first words since a restore ring anew.
func (t *turn) grow(esc *Escalation, class redflag.Class, reason, quote string, waits bool) {
	esc.Times = min(esc.Times+1, 9999)
	esc.Count, esc.GrewAt = esc.Times, t.now()
	esc.Quote = joinWords(esc.Quote, quote, quoteRoom(esc.Reason))
	t.keepMedia(esc)
	t.log("escalation.grew", message.ArgN("n", int(esc.N)), message.ArgS("reason", reason),
		message.ArgN("times", int(esc.Times)))
	led := !esc.Alone() && t.p.Lead(esc)
	switch {
	case esc.Quiet && esc.Reason == reason && !class.Worse(esc.Class) && esc.Epoch == t.pr.Epoch: // it waits where it was
		t.wordsCame(esc)
	case esc.Quiet && esc.Reason == reason && waits && esc.Epoch == t.pr.Epoch:
		esc.Class = class
		t.later(esc)
	case class.Worse(esc.Class), esc.Reason != reason, class.Worse(redflag.ClassN) && esc.Raised.Date != t.e.Office.Date,
		esc.Epoch != t.pr.Epoch:
		if class.Worse(esc.Class) {
			esc.Class = class
		}
		esc.AckBy, esc.AckAt, esc.Rings, esc.Notes, esc.Epoch = "", 0, 0, 0, t.pr.Epoch
		esc.Quiet = false
		if !t.joins(esc) {
			t.firstRing(esc)
		}
		if led && esc.Alone() {
			t.promote()
		}
	case !esc.Alone() && (quote == "" || esc.AckBy == ""): // nothing new to read
		t.reshow(t.p.lead().N)
	case esc.AckBy != "":
		if !esc.Alone() {
			esc = t.p.lead()
		}
		if s, ok := t.pr.ByID(esc.AckBy); ok && s.Reachable() {
			t.withdraw(escKey(esc.N))
			t.card(s, esc, message.Say("esc.more", message.ArgN("n", int(t.p.Headline(esc.N)))))
		}
	case esc.Class.Worse(redflag.ClassN): // new words of something urgent that nobody has taken
		t.ring(esc, false)
	}
}

// quoteRoom is how many runes are kept of what was said.
func quoteRoom(reason string) int {
	if reason == WhyMessage {
		return wordsMore
	}
	return quoteMost
}

// overflows reports whether new words would push out older ones that nobody has read.
func (t *turn) overflows(esc *Escalation, words string) bool {
	return esc.Reason == WhyMessage && esc.Unread && reading.Runes(esc.Quote)+reading.Runes(words)+len(between) > wordsMore
}

// between stands between words that were said after one another.
const between = " / "

// joinWords puts new words after older ones, so many runes at most. Where not all fit, the newest stay
// whole and of the older ones the end goes.
func joinWords(old, words string, most int) string {
	switch {
	case words == "" || strings.HasSuffix(old, words):
		return old
	case strings.HasPrefix(words, old):
		return words
	}
	for at := range old { // what ends the old words and begins the new ones stands once
		if last := old[at:]; (at == 0 || strings.HasSuffix(old[:at], between)) && strings.HasPrefix(words, last+between) {
			words = words[len(last+between):]
			break
		}
	}
	room := most - reading.Runes(words) - len(between)
	if room < 2 {
		return words
	}
	if reading.Runes(old) > room {
		old = reading.Clip(old, room-1) + "…"
	}
	return old + between + words
}

// close takes a resolved escalation off the list.
func (t *turn) close(n int32, by, outcome string) {
	for i := range t.p.Escalations {
		if t.p.Escalations[i].N == n {
			t.log("escalation.resolved", message.ArgN("n", int(n)), message.ArgS("by", by),
				message.ArgS("outcome", reading.Clip(outcome, quoteMost)))
			led, reason := !t.p.Escalations[i].Alone() && t.p.Lead(&t.p.Escalations[i]), t.p.Escalations[i].Reason
			t.p.Escalations = append(t.p.Escalations[:i], t.p.Escalations[i+1:]...)
			t.p.remember(n, reason, by, t.e.Office)
			if led {
				t.promote()
			}
			t.withdraw(escKey(n))
			t.withdraw(mediaKey(n))
			t.reshow(n)
			t.p.forgetShown(n)
			t.withdraw(callKey(n))
			t.clear(ringName(n))
			return
		}
	}
}

// closeWhy resolves all of a reason that has gone away by itself.
func (t *turn) closeWhy(reason, by string) {
	for i := len(t.p.Escalations) - 1; i >= 0; i-- {
		if t.p.Escalations[i].Reason == reason {
			t.close(t.p.Escalations[i].N, by, "")
		}
	}
}

func (t *turn) escalation(n int32) *Escalation {
	for i := range t.p.Escalations {
		if t.p.Escalations[i].N == n {
			return &t.p.Escalations[i]
		}
	}
	return nil
}

// fitQuotes cuts the ends of quotes, the oldest first, where all of them together are too much to keep: of each something stays.
func (t *turn) fitQuotes() {
	all := 0
	for i := range t.p.Escalations {
		all += len(t.p.Escalations[i].Quote)
	}
	part := quoteAll / max(len(t.p.Escalations), 1)
	for i := 0; all > quoteAll && i < len(t.p.Escalations); i++ {
		q := &t.p.Escalations[i].Quote
		if whole := len(*q); whole > part {
			*q = strings.ToValidUTF8((*q)[:part-len("…")], "") + "…"
			all -= whole - len(*q)
		}
	}
	for i := range t.p.Course.Flags {
		if f := &t.p.Course.Flags[i]; f.Esc != 0 {
			f.Quote = "" // its escalation has it
		}
	}
}
