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
	if k.Ask == AskEdit { // what is asked about was not stored
		t.edit(nil, false)
		return
	}
	f, night, was := k.Last, k.LastOn, k.LastWas
	if f == chart.NoField || night < t.coming()-undoNights {
		t.say("undo.none")
		t.openAgain()
		return
	}
	e, _ := t.p.Course.Entry(night)
	taken := e.V[f]
	if k.Beside && taken != chart.Unknown { // the newest words are meant, and nothing was stored of them
		k.Beside = false
		t.reply(message.Say("undo.which", message.ArgK("what", fieldKeys[f].name), message.ArgD("date", night)))
		t.openAgain()
		return
	}
	t.takeBack(night, f, was)
	if was == chart.Unknown {
		t.takeBackWhatFollowed(night, f, &e)
	}
	if f == chart.Wrong && k.Ask == AskWrong {
		k.Ask = NoAsk
	}
	t.note(night, chart.FromUndo)
	k.Last, k.LastOn, k.LastWas = chart.NoField, 0, chart.Unknown
	if taken == chart.Unknown { // nothing was stored of it
		t.say("undo.none")
	} else {
		t.reply(message.Say("undo.done", message.ArgK("what", fieldKeys[f].name)))
		if was.Known() { // what stood before does again
			t.reply(message.Say("undo.was"), t.answerLine(f, was))
		}
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

// takeBack puts the former answer in place of one, to be asked again.
func (t *turn) takeBack(night civil.Date, f chart.Field, was chart.Answer) {
	t.raise(t.p.Course.Answer(t.facts(), night, f, was, chart.FromUndo), "")
	t.p.Talk.Asked &^= 1 << f
}

// takeBackWhatFollowed takes back what the first answer to a question brought
// with it; e is the night as it was before.
func (t *turn) takeBackWhatFollowed(night civil.Date, f chart.Field, e *chart.Entry) {
	var more []chart.Field
	switch f {
	case chart.Worn:
		more = []chart.Field{chart.WornMinutes, chart.NotWorn}
	case chart.NotWorn:
		why, worn := e.V[f], e.V[chart.Worn]
		if why.Is(chart.ReasonMorning) && worn.Is(chart.WornPart) || why.Is(chart.ReasonNotKnown) && worn == chart.Skipped {
			more = []chart.Field{chart.Worn}
		}
	case chart.Snoring:
		more = []chart.Field{chart.Reporter, chart.Snoring}
	case chart.Reporter:
		if e.V[chart.Snoring] == chart.Skipped {
			more = []chart.Field{chart.Reporter, chart.Snoring}
		}
	case chart.SettingLeft:
		if e.V[chart.SettingRight].Known() {
			more = []chart.Field{chart.SettingRight}
		}
	case chart.Bite:
		t.clear("recheck")
	}
	for _, f := range more {
		t.takeBack(night, f, chart.Unknown)
	}
}

// edited takes a message that was rewritten: a wish to correct, never a silent
// change. One answer that differs is asked about; more are to be sent anew.
func (t *turn) edited(b *dayAnswers) {
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
		t.askEdit(tok.Field, tok.Value, night)
	}
}

// askEdit asks whether an answer is to take the place of another.
func (t *turn) askEdit(f chart.Field, v chart.Answer, night civil.Date) {
	k := &t.p.Talk
	if t.quiet() || t.hush {
		return
	}
	k.Ask, k.Edit, k.EditOf, k.EditOn = AskEdit, v, f, night
	t.reply(message.Say("edit.ask", message.ArgD("date", night)), t.answerLine(f, v)).Choices = [][]message.Choice{{{Word: reading.WordYes},
		{Word: reading.WordNo}}}
}

// edit takes the answer to that.
func (t *turn) edit(b *dayAnswers, yes bool) {
	k := &t.p.Talk
	f, v, night := k.EditOf, k.Edit, k.EditOn
	k.Ask, k.Edit, k.EditOf, k.EditOn = NoAsk, chart.Unknown, chart.NoField, 0
	if !yes || f == chart.NoField {
		if e, _ := t.p.Course.Entry(night); f == chart.NoField || e.V[f] != chart.Unknown {
			t.say("edit.kept")
		}
		t.openAgain()
		return
	}
	if f.Row().Kind == chart.Setting {
		b.setting(night, []reading.Token{{Field: f, Value: v}}, 0)
	} else {
		b.take(night, f, v)
	}
	if f == k.Open && night == t.openOn(b.s.Wall) { // it was "the same" to the open question
		b.finish(t.proceed)
		return
	}
	b.finish(t.openAgain)
}
