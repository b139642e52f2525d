package desk

import (
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// Throttles. A chat may try five codes an hour; a stranger is answered once a
// minute. At 60 bits a code this leaves guessing hopeless.
const (
	triesPerHour = 5
	hour         = 3600
	minute       = 60
)

// quietly answers at most once a minute.
func (t *turn) quietly(key string) {
	if t.c.Told != 0 && t.now()-t.c.Told < minute {
		return
	}
	t.c.Told = t.now()
	t.sayKey(key)
}

// stranger answers somebody nobody knows: what this is, and how to get in.
func (t *turn) stranger() {
	if t.c.Told != 0 && t.now()-t.c.Told < minute {
		return
	}
	t.c.Told = t.now()
	lines := []message.Line{message.Say("desk.stranger")}
	if t.pr.Emergency != "" {
		lines = append(lines, message.Say("desk.stranger.emergency", message.ArgS("number", t.pr.Emergency)))
	}
	t.say(lines...)
}

// danger tells a stranger who writes of an emergency whom to call, also within the minute in which nothing else is answered: at most
// once a minute by itself.
func (t *turn) danger(r *reading.Reading) bool {
	if (r.Sure|r.Unsure).Of('E') == 0 || t.pr.Emergency == "" || t.c.Told == 0 || t.now()-t.c.Told >= minute || t.now()-t.c.Warned < minute {
		return false
	}
	t.c.Warned = t.now()
	t.say(message.Say("desk.stranger.emergency", message.ArgS("number", t.pr.Emergency)))
	return true
}

// code takes a code that a chat gave, by link or typed: a patient's goes to
// whoever owns it, a staff code to the practice. Answers to unknown, used and
// expired codes are the same.
func (t *turn) code(s flows.Said) {
	if !t.mayTry() {
		t.quietly("desk.code.wait")
		return
	}
	// a chat is one person's: the one before may yet be taken
	if n := len(t.c.Tries); t.c.Code != "" && n > 0 && t.now()-t.c.Tries[n-1] < minute {
		t.sayKey("desk.code.unknown")
		return
	}
	t.c.Tries = append(t.c.Tries, t.now())
	code := s.Reading.Code
	if strings.HasPrefix(code, flows.StaffHead) || strings.HasPrefix(code, flows.GroupHead) {
		if s.CodeHash == "" {
			t.noSuchCode()
			return
		}
		t.c.Code = s.CodeHash
		t.tell(flows.Target{Practice: true}, flows.StaffJoin{Chat: t.c.ID, Code: s.CodeHash, Lang: t.c.Lang,
			Group: t.c.Group()})
		return
	}
	if t.c.Group() {
		t.quietly("desk.code.private")
		return
	}
	t.c.Code = code
	t.tell(flows.Target{Code: code}, flows.Join{Chat: t.c.ID, Code: code, Lang: t.c.Lang, Gen: t.c.Gen + 1})
}

// mayTry forgets tries older than an hour and counts the rest.
func (t *turn) mayTry() bool {
	kept := t.c.Tries[:0]
	for _, at := range t.c.Tries {
		if t.now()-at < hour && at <= t.now() {
			kept = append(kept, at)
		}
	}
	t.c.Tries = kept
	return len(kept) < triesPerHour
}

func (t *turn) noSuchCode() {
	t.c.Code = ""
	t.sayKey("desk.code.unknown")
}

// bound takes a patient's answer to a code: this chat is the patient's now, is
// not, or is no longer. The patient's own flow speaks to the chat, except
// where the code was refused.
func (t *turn) bound(b flows.Bound) {
	t.c.Code = ""
	switch {
	case b.Refused:
		t.noSuchCode()
	case b.Freed:
		if t.c.Patient == b.Patient && (b.Gen == 0 || b.Gen == t.c.Gen) {
			t.c.Patient, t.c.Since = "", 0
			t.c.Gen++
		}
	case b.Patient != "":
		t.c.Patient, t.c.Gen, t.c.Since = b.Patient, max(b.Gen, t.c.Gen), b.Since
		t.c.Tries, t.c.Told = nil, 0
		if b.Lang != "" {
			t.c.Lang = b.Lang
		}
	}
}

// saidInGroup hears only codes, commands and control words; people may talk.
func (t *turn) saidInGroup(s flows.Said) {
	own := t.c.ID == t.pr.Group && t.pr.Group != 0
	if s.Reading.Code == "" || own || s.Media != "" { // for all in the group to read, and to no purpose
		t.voidCode(s)
	}
	switch {
	case s.Media != "" && own: // nobody steers by a caption
	case s.Media != "":
		t.leaveGroup()
	case s.From == flows.FromMachine:
	case s.From == flows.FromAnonymous && (own || s.Reading.Code != ""):
		if s.Reading.Code != "" || s.Reading.Word != reading.NoWord {
			t.log("desk.refused.anonymous")
			t.quietly("desk.group.anonymous")
		}
	case s.Reading.Code != "" && !own:
		t.code(s)
	case !own:
		t.leaveGroup()
	default:
		t.groupWord(s)
	}
}

// voidCode has a staff code that was seen where it does not belong made void.
func (t *turn) voidCode(s flows.Said) {
	if s.CodeHash != "" {
		t.tell(flows.Target{Practice: true}, flows.StaffChange{Op: flows.StaffVoid, Code: practice.Code{Hash: s.CodeHash}})
	}
}

func (t *turn) groupWord(s flows.Said) {
	who, known := t.pr.ByChat(s.User)
	if !known || who.Removed {
		if s.Reading.Word != reading.NoWord {
			t.quietly("desk.group.who")
		}
		return
	}
	if s.Reading.Why != "" && strings.HasPrefix(s.Text, "/") {
		t.sayKey("desk.group.private")
		return
	}
	switch s.Reading.Word {
	case reading.WordQueue, reading.WordStart:
		t.send(message.Message{View: message.ViewQueue})
	case reading.WordHelp, reading.WordEnrol, reading.WordFind, reading.WordPatients, reading.WordHold, reading.WordResume,
		reading.WordLanguage:
		t.sayKey("desk.group.private")
	}
}

// leaveGroup leaves a group that is not the practice's.
func (t *turn) leaveGroup() {
	t.log("desk.left")
	t.send(message.Message{Lines: []message.Line{message.Say("desk.group.foreign")}, Media: "leave"})
}

// tappedInGroup takes an escalation for the person who pressed; everything
// else, which may need a question or show more, goes on in that person's own
// chat.
func (t *turn) tappedInGroup(p flows.Tap) {
	if p.Op == opAck && p.Patient != "" {
		t.act(acts[actIndex(opAck)], p)
		return
	}
	t.tell(flows.Target{Chat: p.User}, flows.Tap{Chat: p.User, Op: p.Op, Arg: p.Arg, Nonce: p.Nonce, User: p.User,
		Patient: p.Patient})
}
