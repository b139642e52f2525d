package flows

import (
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// A danger that a text says surely raises its flag at once. One that it perhaps
// says is asked about: now, earlier, or not the person who wears the appliance.
// What is asked stays with a person until staff close it; silence and a second
// such text make it ring, and only a sure one changes what is worn.

const (
	doubtMinutes = 15   // without an answer the practice is told
	doubtAgain   = 3600 // seconds in which a second such text counts as one that was answered
	doubtName    = "doubt"
)

// notNow are the hedges by which nothing was turned.
const notNow = reading.HedgeQuestion | reading.HedgeCondition | reading.HedgeOther

// hear raises the red flags that a text surely says and asks about what it
// perhaps says; false where nothing more may be said in this turn.
func (t *turn) hear(s Said) bool {
	rs := t.surely(&s)
	doubt := t.perhaps(&s, rs)
	if len(rs) > 0 {
		t.raise(rs, s.Text)
	}
	if t.alarm {
		return false
	}
	worst := redflag.ClassR
	for i := range rs {
		if rs[i].Flag && rs[i].Class.Worse(worst) {
			worst = rs[i].Class
		}
	}
	if doubt == nil && !worst.Worse(redflag.ClassR) {
		return true
	}
	if len(s.Reading.Tokens) > 0 && t.trusted() { // answers of the day in the same text are kept too
		t.hush = true
		t.daySaid(s)
		if t.alarm {
			return false
		}
	}
	if doubt != nil {
		t.askDanger(doubt, s.Text)
		return false
	}
	if row := redflag.Find(rs[0].ID); len(rs) == 1 && row != nil && row.Doubt && t.trusted() { // what it stands at is the question
		if esc := t.openAlready(rs[0].Class, row.ID); esc != nil && s.Reading.Sure == 0 && s.Reading.Understood == reading.NotUnderstood {
			esc.Unread = true // a setting told after it does not say that this was meant
		}
		t.askNamed(chart.SettingLeft, t.natural(chart.SettingLeft, s.Wall))
		return false
	}
	n := int32(0)
	for i := range t.p.Escalations {
		if t.p.Escalations[i].Class == worst {
			n = t.p.Escalations[i].N
		}
	}
	t.ask(AskNow, number(n), []message.Line{message.Say("now.ask")}, [2]string{"yes", "now.b.yes"},
		[2]string{"no", "now.b.no"})
	return false
}

// surely raises what a text says without a doubt: by the phrases of the flag
// table where they may be taken at their word, else by what was heard.
func (t *turn) surely(s *Said) (rs []redflag.Raised) {
	r, c, quote := &s.Reading, &t.p.Course, reading.Clip(s.Text, quoteMost)
	said := r.Features
	if r.Doubted { // a call for help names no danger: only a hedge speaks against it
		said = 0
		if r.Hedges == 0 {
			said = r.Features & reading.FUrgent
		}
	}
	rs = c.Hear(t.facts(), t.e.Wall, said, quote)
	row := redflag.MostUrgent(r.Sure)
	hedges := r.Hedges & notNow
	if !strings.Contains(s.Text, "?") { // "did it twice" asks nothing
		hedges &^= reading.HedgeQuestion
	}
	if x := redflag.MostUrgent(r.Unsure); row == nil && x != nil && x.Doubt && hedges == 0 {
		row = x
	}
	if row == nil || row.WasSo(&t.p.Baseline) || answers(r, row, &t.p.Baseline) {
		return rs
	}
	for i := range rs {
		if rs[i].ID == row.ID || !row.ClassFor(&t.p.Baseline).Worse(rs[i].Class) { // the phrases name it better
			return rs
		}
	}
	return append(c.Raise(t.facts(), t.e.Wall, row.ID), rs...)
}

// perhaps is the row of what a text perhaps says, where that is more urgent than
// what it surely says; nil for none. What was so before the treatment is no
// question, nor what an answer in the same text raises by itself.
func (t *turn) perhaps(s *Said, rs []redflag.Raised) *redflag.Row {
	r := &s.Reading
	row := redflag.MostUrgent(r.Unsure)
	if row != nil && row.Doubt { // the count is in doubt, in either case
		return nil
	}
	if r.Doubted && r.Hedges != 0 && r.Features.Has(reading.FUrgent) {
		row = redflag.Find("urgent")
	}
	if row == nil || row.WasSo(&t.p.Baseline) || answers(r, row, &t.p.Baseline) {
		return nil
	}
	for i := range rs {
		if !row.ClassFor(&t.p.Baseline).Worse(rs[i].Class) {
			return nil
		}
	}
	return row
}

// answers reports whether an answer in the text raises the row by itself.
func answers(r *reading.Reading, row *redflag.Row, b *chart.Baseline) bool {
	return row.Reached != nil && slices.ContainsFunc(r.Tokens, func(tok reading.Token) bool {
		return tok.Field == row.Field && row.Reached(tok.Value, b)
	})
}

// askDanger asks about what was perhaps said. Of an emergency the number comes with
// the question, and staff hear of it at once; of what is less urgent they hear
// after the answer, or without one after a quarter of an hour.
func (t *turn) askDanger(row *redflag.Row, words string) {
	k := &t.p.Talk
	class := row.ClassFor(&t.p.Baseline)
	again := k.DoubtAt != 0 && t.now()-k.DoubtAt < doubtAgain
	if k.Doubt != "" && k.Doubt != row.ID { // what was asked before stays with a person
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
	t.poseDanger(class)
}

// poseDanger sends the question with its three answers.
func (t *turn) poseDanger(class redflag.Class) {
	rows := labels(reading.WordNow, reading.WordEarlier, reading.WordNotWearer)
	if class == redflag.ClassE {
		t.send(Send{Lane: LaneUrgent, Msg: message.Message{Lines: []message.Line{
			message.Say(emergencyLine, t.numbers()...), message.Say("doubt.ask")}, Choices: rows}})
		return
	}
	t.reply(message.Say("doubt.heard", t.numbers()...), message.Say("doubt.ask")).Choices = rows
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

// doubtDue comes a quarter of an hour after the question.
func (t *turn) doubtDue() {
	k := &t.p.Talk
	t.unanswered = k.Ask == AskDanger // the other question follows what was pressed
	if k.Ask == AskDanger || k.Ask == AskWorry {
		t.ringDoubt()
	}
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
		}
	}
	switch {
	case k.Ask == AskHow && (w == reading.WordNow || w == reading.WordNotOver):
		t.howTheyAre(false)
	case k.Ask == AskHow && (w == reading.WordEarlier || w == reading.WordOver):
		t.howTheyAre(true)
	case k.Ask == AskNow && (w == reading.WordEarlier || w == reading.WordOver || w == reading.WordNotWearer):
		t.happening(false)
	case k.Ask == AskDanger && row != nil && (w == reading.WordNo || s.Reading.Bare.Known()): // which of the three?
		t.poseDanger(row.ClassFor(&t.p.Baseline))
	case w == reading.WordNow && row == nil:
		t.happeningWords(s, true)
	case w == reading.WordNow, w == reading.WordNotOver && row != nil:
		t.isNow(row)
	case w == reading.WordEarlier && row != nil:
		t.doubtAnswered(s.Text)
		t.askOn(AskWhen, "doubt.when", reading.WordOver, reading.WordNotOver)
	case w == reading.WordNotWearer && row != nil:
		t.doubtAnswered(s.Text)
		t.askOn(AskWho, "doubt.who")
	case w == reading.WordOver && row != nil:
		esc := t.doubtAnswered(s.Text)
		t.doubtClosed()
		t.reply(append([]message.Line{message.Say("doubt.kept")}, t.whenCalled(esc.Class)...)...)
		t.goOn()
	case w == reading.WordOver:
		t.happeningWords(s, false)
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
// asked: they are of what is open, else it is asked what they are about.
func (t *turn) happeningWords(s Said, now bool) {
	for i := range t.p.Escalations {
		if esc := &t.p.Escalations[i]; esc.Class.Worse(redflag.ClassN) {
			t.p.Talk.AskArg = number(esc.N)
			t.happening(now)
			return
		}
	}
	t.pass(s)
}

// doubtAnswered notes an answer beside the words, in front of people.
func (t *turn) doubtAnswered(answer string) *Escalation {
	k := &t.p.Talk
	k.DoubtOf = joinWords(k.DoubtOf, reading.Clip(answer, quoteMost))
	t.clear(doubtName)
	esc := t.deskDoubt(false)
	esc.Unread = false
	return esc
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
	esc := t.doubtAnswered(s.Text)
	t.doubtClosed()
	t.reply(append([]message.Line{message.Say("doubt.passed", t.numbers()...)}, t.whenCalled(esc.Class)...)...)
	if len(r.Tokens) > 0 && t.trusted() {
		return false // it answers the day too
	}
	t.goOn()
	return true
}
