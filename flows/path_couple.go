package flows

import (
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
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

// followed reports whether the chat follows a patient.
func (t *turn) followed() bool { return t.p.Chat != 0 && t.p.Course.State != chart.NoState }

// theirs reports whether a code is the one by which this patient joined, or is to.
func (t *turn) theirs(code string) bool {
	return code == t.p.Code || code == t.p.Used ||
		t.p.Used == "" && len(t.p.ID) > 2 && strings.HasPrefix(code, string(t.p.ID[:2])) // joined before Used was kept
}

// otherCode answers a code that is not this patient's own: the other person
// needs an account of their own, and people are told. True where that was so.
func (t *turn) otherCode(s *Said) bool {
	code := s.Reading.Code
	switch {
	case code == "" || !t.followed():
		return false
	case staffCode(code):
		t.say("join.staffcode")
	case t.theirs(code):
		return false
	default:
		t.log("join.couple")
		t.toDesk(redflag.ClassN, WhyCouple, "")
		t.reply(message.Say("join.couple"), message.Say("join.couple.account"), message.Say("join.couple.kept"))
	}
	t.goOn()
	return true
}

// notOwn takes a text that is perhaps another's: another's code stands among its
// words, or it was forwarded. No answer of it is this patient's and none is kept;
// people read it, as soon as its worst answer would have them. True where that was so.
func (t *turn) notOwn(s *Said) bool {
	couple := slices.ContainsFunc(s.Among, func(code string) bool { return !t.theirs(code) })
	if !couple && !s.Forwarded || s.Reading.Code != "" || !t.followed() {
		return false
	}
	why, lines := WhyForward, []message.Line{message.Say("forward.kept")}
	if couple {
		why, lines = WhyCouple, []message.Line{message.Say("join.couple"), message.Say("join.couple.account"),
			message.Say("join.couple.words")}
		t.log("join.couple")
	}
	class := redflag.ClassN
	for _, tok := range s.Reading.Tokens {
		for _, row := range redflag.ByAnswer(tok.Field) {
			if row.Field == tok.Field && row.Night == nil && row.Reached(tok.Value, &t.p.Baseline) &&
				row.ClassFor(&t.p.Baseline).Worse(class) {
				class = row.ClassFor(&t.p.Baseline)
			}
		}
	}
	t.toDesk(class, why, s.Text).Unread = true
	t.reply(lines...)
	t.reply(t.whenCalled(class)...)
	t.reply(message.Say("wrong.urgent", t.numbers()...))
	if t.hearAnother(s) {
		t.goOn()
	}
	return true
}

// hearAnother hears the dangers in a text that is perhaps another's: an emergency is
// taken at its word, whoever has it, and of any other it is asked whether it is
// this patient's. False where that was asked, or nothing more may be said.
func (t *turn) hearAnother(s *Said) bool {
	r := &s.Reading
	*r = reading.Reading{Lang: r.Lang, Features: r.Features, Denied: r.Denied, Understood: r.Understood, Sure: r.Sure,
		Unsure: r.Unsure, Hedges: r.Hedges, Doubted: r.Doubted, Calm: r.Calm}
	said := r.Features
	if r.Doubted {
		said &= reading.FUrgent
	}
	var worst *redflag.Row
	take := func(row *redflag.Row) {
		if row != nil && !row.Doubt && !row.WasSo(&t.p.Baseline) && (worst == nil ||
			row.ClassFor(&t.p.Baseline).Worse(worst.ClassFor(&t.p.Baseline))) {
			worst = row
		}
	}
	take(redflag.MostUrgent(r.Sure))
	rows := redflag.Rows()
	for i := range rows {
		if rows[i].SaidBy(said) != 0 {
			take(&rows[i])
		}
	}
	if worst != nil && worst.ClassFor(&t.p.Baseline) == redflag.ClassE {
		return t.hear(*s)
	}
	take(redflag.MostUrgent(r.Unsure))
	if worst == nil {
		return true
	}
	t.askDanger(worst, s.Text)
	return false
}
