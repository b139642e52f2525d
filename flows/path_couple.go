package flows

import (
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Two people can meet in one chat: a couple who share a telephone, or somebody
// of the practice who lent one. A chat follows one person; whoever else writes
// in it would be taken for that person.

// staffCode reports whether a code is a staff member's or the group's.
func staffCode(code string) bool {
	return strings.HasPrefix(code, StaffHead) || strings.HasPrefix(code, GroupHead)
}

// voidCode has a staff code that was seen in this chat made void: whoever reads
// along here could use it.
func (t *turn) voidCode(s *Said) {
	if s.CodeHash != "" && (s.Reading.Code == "" || staffCode(s.Reading.Code)) {
		t.tell(Target{Practice: true}, StaffChange{Op: StaffVoid, Code: practice.Code{Hash: s.CodeHash}})
	}
}

// otherCode answers a code that is not this patient's own: the other person
// needs an account of their own, and people are told. True where that was so.
func (t *turn) otherCode(s *Said) bool {
	code := s.Reading.Code
	switch {
	case code == "" || t.p.Chat == 0 || t.p.Course.State == chart.NoState:
		return false
	case staffCode(code):
		t.say("join.staffcode")
	case code == t.p.Code || code == t.p.Used,
		t.p.Used == "" && len(t.p.ID) > 2 && strings.HasPrefix(code, string(t.p.ID[:2])): // joined before Used was kept
		return false
	default:
		t.log("join.couple")
		t.toDesk(redflag.ClassN, WhyCouple, "")
		t.reply(message.Say("join.couple"), message.Say("join.couple.account"), message.Say("join.couple.kept"))
	}
	t.goOn()
	return true
}
