package flows

import (
	"slices"
	"strings"

	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// A danger that a text perhaps says is asked about, until it is answered, closed by staff, or silence makes it ring.

const (
	doubtMinutes = 15   // without an answer the practice is told
	doubtAgain   = 3600 // seconds in which a second such text counts as one that was answered
	doubtName    = "doubt"
)

// askDanger asks about what was perhaps said. Of an emergency the number comes with
// the question, and staff hear of it at once; of what is less urgent they hear
// after the answer, or without one after a quarter of an hour.
func (t *turn) askDanger(row *redflag.Row, words string) {
	k := &t.p.Talk
	class := row.ClassFor(&t.p.Baseline)
	again := k.DoubtAt != 0 && t.now()-k.DoubtAt < doubtAgain
	if k.Doubt != "" && k.Doubt != row.ID && (t.ofCopy() || t.now()-k.DoubtAt < 60*doubtMinutes) { // what was asked before goes to a person; an older one is with one
		t.ringDoubt()
	}
	if row.ID == "lowmood" { // when and to whom is no question; how bad it is, is one
		t.askTrouble(reading.WordLow, row, words)
		return
	}
	k.Ask, k.AskArg, k.Doubt, k.DoubtOf, k.DoubtAt = AskDanger, "", row.ID, reading.Clip(words, quoteMost), t.now()
	if again || class == redflag.ClassE {
		t.deskDoubt(again)
	}
	t.after(doubtName, doubtMinutes)
	t.poseDanger(row)
}

// poseDanger names what was perhaps said, and sends the question with its three answers.
func (t *turn) poseDanger(row *redflag.Row) {
	rows := labels(reading.WordNow, reading.WordEarlier, reading.WordNotWearer)
	what := message.Say("now.what", message.ArgK("what", ReasonKey(row.ID)))
	if row.ClassFor(&t.p.Baseline) == redflag.ClassE {
		t.send(Send{Lane: LaneUrgent, Msg: message.Message{Lines: []message.Line{
			message.Say(emergencyLine, t.numbers()...), what, message.Say("doubt.ask")}, Choices: rows}})
		return
	}
	t.reply(message.Say("doubt.heard", t.numbers()...), what, message.Say("doubt.ask")).Choices = rows
}

// deskDoubt puts what was perhaps said in front of people, marked as unsure
// unless it is open already or is to ring as if it were sure.
func (t *turn) deskDoubt(ring bool) *Escalation {
	row := redflag.Find(t.p.Talk.Doubt)
	open, rings := t.p.EscCount, int16(0)
	if was := t.openAlready(row.ClassFor(&t.p.Baseline), row.ID); was != nil {
		rings = was.Rings
	}
	t.unsure = true
	esc := t.toDesk(row.ClassFor(&t.p.Baseline), row.ID, t.p.Talk.DoubtOf)
	t.unsure = false
	if t.p.EscCount > open {
		esc.Unsure = true
	}
	esc.Unread = true // whoever has taken what it joins has not read this
	if ring && t.p.EscCount == open && esc.AckBy == "" && !esc.Quiet && esc.Rings == rings {
		t.ring(esc, true)
	}
	return esc
}

// ringDoubt is silence, or something else that is in doubt: a person looks at it.
func (t *turn) ringDoubt() {
	if redflag.Find(t.p.Talk.Doubt) != nil {
		t.deskDoubt(true)
	}
}

// ofCopy reports whether the doubt was asked about before a copy was put back: whoever answered it since is not in there.
func (t *turn) ofCopy() bool { return t.p.Talk.Doubt != "" && t.p.Talk.DoubtAt == 0 }

// doubtDue comes a quarter of an hour after the question.
func (t *turn) doubtDue() {
	k := &t.p.Talk
	if t.pr.Frozen() && t.ofCopy() { // it may be settled long since: it waits for the release as flags do
		t.after(doubtName, doubtMinutes)
		return
	}
	t.unanswered = k.Ask == AskDanger // the other question follows what was pressed
	t.ringDoubt()                     // whatever is asked by now: an answer would have ended the waiting
	t.unanswered = false
}

// doubtWord takes an answer to whether a danger is one, also a late one; false
// where the word is none.
func (t *turn) doubtWord(s Said) bool {
	k := &t.p.Talk
	row := redflag.Find(k.Doubt)
	w := s.Reading.Word
	if k.Ask == AskDanger {
		switch w {
		case reading.WordYes:
			w = reading.WordNow
		case reading.WordNotNow, reading.WordOver:
			w = reading.WordEarlier
		case reading.NoWord:
			if w = inOwnWords(&s); s.Reading.Over {
				w = reading.WordEarlier
			}
		}
	}
	switch {
	case k.Ask == AskHow && (w == reading.WordNow || w == reading.WordNotOver):
		t.howTheyAre(false)
	case k.Ask == AskHow && (w == reading.WordEarlier || w == reading.WordOver):
		t.howTheyAre(true)
	case k.Ask == AskNow && (w == reading.WordEarlier || w == reading.WordOver || w == reading.WordNotWearer):
		t.happening(false)
	case k.Ask == AskDanger && row != nil && w == reading.NoWord && row.ClassFor(&t.p.Baseline).Worse(redflag.ClassN) && unclear(&s): // people have the words, and it is asked again
		t.doubtStill(row, s.Text)
	case k.Ask == AskDanger && row != nil && (w == reading.WordNo || s.Reading.Bare.Known()): // which of the three?
		t.poseDanger(row)
	case (w == reading.WordNow || w == reading.WordOver) && row == nil:
		if !t.happeningWords(w == reading.WordNow) {
			t.pass(s) // what they are about is for people
		}
	case w == reading.WordNow, w == reading.WordNotOver && row != nil:
		t.isNow(row)
	case w == reading.WordEarlier && row != nil:
		t.doubtAnswered(s.Text)
		t.askOn(AskWhen, "doubt.when", reading.WordOver, reading.WordNotOver)
	case w == reading.WordNotWearer && row != nil && s.Reading.Word == reading.NoWord: // who it is was said
		t.doubtPassed(s.Text).Unread = true // they may say more than that
		t.goOn()
	case w == reading.WordNotWearer && row != nil:
		t.doubtAnswered(s.Text)
		t.askOn(AskWho, "doubt.who")
	case w == reading.WordOver && row != nil:
		esc := t.doubtAnswered(s.Text)
		t.doubtClosed()
		t.reply(append([]message.Line{message.Say("doubt.kept")}, t.whenCalled(esc.Class)...)...)
		t.goOn()
	case w == reading.WordEarlier, w == reading.WordNotWearer, w == reading.WordNotOver:
		t.pass(s) // nothing is asked: the words are for people
	default:
		return false
	}
	return true
}

// isNow takes what was asked about as sure.
func (t *turn) isNow(row *redflag.Row) {
	words := t.p.Talk.DoubtOf
	t.doubtClosed()
	if now := redflag.Find(row.IfNow); now != nil {
		row = now
	}
	t.raise(t.p.Course.Raise(t.facts(), t.e.Wall, row.ID), words)
	t.goOn()
}

// happeningWords takes "it is happening now" or "it is over" where nothing is
// asked: they are of what is open; false where nothing is.
func (t *turn) happeningWords(now bool) bool {
	for i := range t.p.Escalations {
		if esc := &t.p.Escalations[i]; esc.Class.Worse(redflag.ClassN) {
			t.p.Talk.AskArg = number(esc.N)
			t.happening(now)
			return true
		}
	}
	return false
}

// doubtAnswered notes an answer beside the words, in front of people.
func (t *turn) doubtAnswered(answer string) *Escalation {
	k := &t.p.Talk
	k.DoubtOf = joinWords(k.DoubtOf, reading.Clip(answer, quoteMost), quoteMost)
	t.clear(doubtName)
	esc := t.deskDoubt(false)
	esc.Unread = false
	return esc
}

// doubtStill gives people words that answer nothing of it, and asks again.
func (t *turn) doubtStill(row *redflag.Row, words string) {
	t.doubtAnswered(words).Unread = true
	t.after(doubtName, doubtMinutes)
	t.poseDanger(row)
}

// doubtStands asks about a danger again after something else was answered: "yes, still there, but how do I clean it?"
func (t *turn) doubtStands() {
	row := redflag.Find(t.p.Talk.Doubt)
	if s, ok := t.e.Body.(Said); ok && !t.desked && s.Reading.Word != reading.WordThanks && s.Text != "" {
		t.doubtStill(row, s.Text)
		return
	}
	t.poseDanger(row)
}

// doubtClosed ends the asking, never what staff were told.
func (t *turn) doubtClosed() {
	k := &t.p.Talk
	k.Ask, k.AskArg, k.Doubt, k.DoubtOf = NoAsk, "", "", ""
	t.clear(doubtName)
}

// askOn asks the next thing about a danger; any words answer it.
func (t *turn) askOn(a Ask, key string, words ...reading.Word) {
	t.p.Talk.Ask = a
	m := t.reply(message.Say(key), message.Say("wrong.urgent", t.numbers()...))
	for _, w := range words {
		m.Choices = append(m.Choices, []message.Choice{{Word: w}})
	}
	m.Plain = len(words) == 0
}

// mostOwnWords is how many words may answer whose danger it is: who writes more tells something.
const mostOwnWords = 8

// inOwnWords is the answer that a few words which say no danger give to whose it is: "it's my husband". When it was is asked, however it
// is said: "better than last week" answers nothing.
func inOwnWords(s *Said) reading.Word {
	r := &s.Reading
	if r.Dangerous() || len(r.Tokens) > 0 || len(strings.Fields(s.Text)) > mostOwnWords || r.Hedges&reading.HedgeOther == 0 ||
		r.Hedges&^(reading.HedgeNot|reading.HedgeOther|reading.HedgePast) != 0 {
		return reading.NoWord
	}
	return reading.WordNotWearer
}

// unclear reports whether a text that was not understood says nothing else that is dealt with: "it was yesterday, it has gone" tells of no pain.
func unclear(s *Said) bool {
	r := &s.Reading
	answers := slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Value.Known() })
	return r.Understood != reading.InFull && !r.Dangerous() && !answers && r.Word == reading.NoWord && !r.Bare.Known() &&
		r.Code == "" && r.Why == "" && r.Topic == reading.NoTopic && !r.Symbols && s.Text != ""
}

// doubtPassed closes the asking with words for people, and says when they call.
func (t *turn) doubtPassed(words string) *Escalation {
	esc := t.doubtAnswered(words)
	t.doubtClosed()
	t.reply(append([]message.Line{message.Say("doubt.passed", t.numbers()...)}, t.whenCalled(esc.Class)...)...)
	return esc
}

// toldMore takes free words about a danger that was asked about.
func (t *turn) toldMore(s Said) bool {
	k := &t.p.Talk
	if k.Ask != AskWhen && k.Ask != AskWho || redflag.Find(k.Doubt) == nil {
		return false
	}
	r := &s.Reading
	if r.Word != reading.NoWord && r.Word != reading.WordYes && r.Word != reading.WordNo || r.Code != "" || r.Symbols {
		return false
	}
	row := redflag.Find(k.Doubt)
	if len(r.Tokens) > 0 && !r.Rest && t.openAlready(row.ClassFor(&t.p.Baseline), row.ID) == nil {
		t.doubtClosed() // an answer of another day's check-in says nothing of it, and people have the words
		return false
	}
	t.doubtPassed(s.Text)
	if len(r.Tokens) > 0 && t.trusted() {
		return false // it answers the day too
	}
	t.goOn()
	return true
}
