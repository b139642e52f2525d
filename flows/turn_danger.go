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
	t.askNow(number(n))
	return false
}

// askNow names the danger of an escalation, and asks whether it is there now.
func (t *turn) askNow(n string) {
	var lines []message.Line
	for i := range t.p.Escalations {
		if esc := &t.p.Escalations[i]; number(esc.N) == n {
			lines = append(lines, message.Say("now.what", message.ArgK("what", ReasonKey(esc.Reason))))
		}
	}
	t.ask(AskNow, n, append(lines, message.Say("now.ask")), [2]string{"yes", "now.b.yes"}, [2]string{"no", "now.b.no"})
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
	if ask := t.p.Talk.Ask; r.Over && (ask == AskDanger || ask == AskNow || ask == AskHow) {
		return nil // it answers what is asked: that has passed
	}
	row := redflag.MostUrgent(r.Unsure)
	if x := redflag.ByDanger(r.Likeliest); row != nil && r.Unsure.Has(r.Likeliest) && x != nil && x.Class == row.Class {
		row = x // of several it is named what was heard most
	}
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
