package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// undoNights is how far back the last answer can be taken back.
const undoNights = 2

// undo takes the last answer back, as a new revision of the diary, and asks it
// again. What it had raised stays, and tonight's advice can only become more
// cautious by it.
func (t *turn) undo() {
	k := &t.p.Talk
	f, night, was := k.Last, k.LastOn, k.LastWas
	if f == chart.NoField || night < t.coming()-undoNights {
		t.say("undo.none")
		t.openAgain()
		return
	}
	c := &t.p.Course
	e, _ := c.Entry(night)
	taken := e.V[f]
	back := func(f chart.Field, v chart.Answer) {
		t.raise(c.Answer(t.facts(), night, f, v, chart.FromUndo), "")
		k.Asked &^= 1 << f
	}
	back(f, was)
	switch { // what followed from it goes too
	case f == chart.Worn && was == chart.Unknown:
		back(chart.WornMinutes, chart.Unknown)
		back(chart.NotWorn, chart.Unknown)
	case f == chart.NotWorn && was == chart.Unknown &&
		(taken.Is(chart.ReasonMorning) && e.V[chart.Worn].Is(chart.WornPart) || taken.Is(chart.ReasonNotKnown) &&
			e.V[chart.Worn] == chart.Skipped):
		back(chart.Worn, chart.Unknown)
		k.Asked &^= 1 << chart.Worn
	case f == chart.Snoring && was == chart.Unknown, f == chart.Reporter && was == chart.Unknown &&
		e.V[chart.Snoring] == chart.Skipped:
		back(chart.Reporter, chart.Unknown)
		back(chart.Snoring, chart.Unknown)
	case f == chart.SettingLeft && was == chart.Unknown && e.V[chart.SettingRight].Known():
		back(chart.SettingRight, chart.Unknown)
	case f == chart.Bite && was == chart.Unknown:
		t.clear("recheck")
	case f == chart.Wrong && k.Ask == AskWrong:
		k.Ask = NoAsk
	}
	t.note(night, chart.FromUndo)
	k.Last, k.LastOn, k.LastWas = chart.NoField, 0, chart.Unknown
	if taken == chart.Unknown { // nothing was stored of it
		t.say("undo.none")
	} else {
		t.reply(message.Say("undo.done", message.ArgK("what", fieldKeys[f].name)))
	}
	if t.advised(t.coming()) {
		t.readvise()
	}
	switch {
	case t.quiet():
	case k.CheckIn == NoCheckIn:
		t.askNamed(f, night)
	default:
		t.proceed()
	}
}

// edited takes a message that was rewritten: a wish to correct, never a silent
// change. One answer that differs is asked about; more are to be sent anew.
func (t *turn) edited(b *dayAnswers) {
	k := &t.p.Talk
	differ, at, night := 0, 0, civil.Date(0)
	for i := range b.s.Reading.Tokens {
		tok := &b.s.Reading.Tokens[i]
		if tok.Field == chart.NoField || tok.Field >= chart.NumFields || !tok.Field.Takes(tok.Value) {
			continue
		}
		on, why := t.nightOf(tok, b.s.Wall)
		if why != "" || !tok.Value.Known() {
			continue
		}
		if e, _ := t.p.Course.Entry(on); e.V[tok.Field] != tok.Value {
			differ, at, night = differ+1, i, on
		}
	}
	switch {
	case differ == 0 && len(b.s.Reading.Tokens) > 0:
		t.say("edit.same")
		t.openAgain()
	case differ == 0:
		if b.s.Reading.Rest {
			t.pass(*b.s)
			return
		}
		t.say("edit.many")
		t.openAgain()
	case differ > 1:
		t.say("edit.many")
		t.openAgain()
	default:
		tok := &b.s.Reading.Tokens[at]
		k.Ask, k.Edit, k.EditOf, k.EditOn = AskEdit, tok.Value, tok.Field, night
		t.reply(message.Say("edit.ask", message.ArgD("date", night)),
			t.answerLine(tok.Field, tok.Value)).Choices = [][]message.Choice{{{Word: reading.WordYes}, {Word: reading.WordNo}}}
	}
}

// edit takes the answer to that.
func (t *turn) edit(b *dayAnswers, yes bool) {
	k := &t.p.Talk
	f, v, night := k.EditOf, k.Edit, k.EditOn
	k.Ask, k.Edit, k.EditOf, k.EditOn = NoAsk, chart.Unknown, chart.NoField, 0
	if !yes || f == chart.NoField {
		t.say("edit.kept")
		t.openAgain()
		return
	}
	if f.Row().Kind == chart.Setting {
		b.setting(night, []reading.Token{{Field: f, Value: v}}, 0)
	} else {
		b.take(night, f, v)
	}
	b.finish(t.openAgain)
}
