package flows

// undoNights is how far back the last answer can be taken back.
const undoNights = 2

// undo takes the last answer back, as a new revision of the diary, and asks it
// again. What it had raised stays, and tonight's advice can only become more
// cautious by it.
func (t *turn) undo() {
	k := &t.p.Talk
	f, night, was := k.Last, k.LastOn, k.LastWas
	if f == NoField || night < t.coming()-undoNights {
		t.say("undo.none")
		t.openAgain()
		return
	}
	c := &t.p.Course
	e, _ := c.Entry(night)
	taken := e.V[f]
	back := func(f Field, v Value) {
		t.raise(c.Answer(t.facts(), night, f, v, FromUndo), "")
		k.Asked &^= 1 << f
	}
	back(f, was)
	switch { // what followed from it goes too
	case f == Worn && was == Unknown:
		back(WornMinutes, Unknown)
		back(NotWorn, Unknown)
	case f == NotWorn && was == Unknown && (taken.Is(ReasonMorning) && e.V[Worn].Is(WornPart) || taken.Is(ReasonNotKnown) && e.V[Worn] == Skipped):
		back(Worn, Unknown)
		k.Asked &^= 1 << Worn
	case f == Snoring && was == Unknown, f == Reporter && was == Unknown && e.V[Snoring] == Skipped:
		back(Reporter, Unknown)
		back(Snoring, Unknown)
	case f == SettingLeft && was == Unknown && e.V[SettingRight].Known():
		back(SettingRight, Unknown)
	case f == Bite && was == Unknown:
		t.clear("recheck")
	case f == Wrong && k.Ask == AskWrong:
		k.Ask = NoAsk
	}
	t.note(night, FromUndo)
	k.Last, k.LastOn, k.LastWas = NoField, 0, Unknown
	if taken == Unknown { // nothing was stored of it
		t.say("undo.none")
	} else {
		t.reply(Say("undo.done", ArgK("what", echoKeys[f].name)))
	}
	if t.advised(t.coming()) {
		t.readvise()
	}
	switch {
	case t.quiet():
	case k.Script == NoScript:
		t.askNamed(f, night)
	default:
		t.proceed()
	}
}

// edited takes a message that was rewritten: a wish to correct, never a silent
// change. One answer that differs is asked about; more are to be sent anew.
func (t *turn) edited(b *binding) {
	k := &t.p.Talk
	differ, at, night := 0, 0, Date(0)
	for i := range b.s.Reading.Tokens {
		tok := &b.s.Reading.Tokens[i]
		if tok.Field == NoField || tok.Field >= NumFields || !inScale(tok.Field, tok.Value) {
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
		t.reply(Say("edit.ask", ArgD("date", night)), t.answerLine(tok.Field, tok.Value)).Choices = [][]Choice{{{Word: WordYes}, {Word: WordNo}}}
	}
}

// edit takes the answer to that.
func (t *turn) edit(b *binding, yes bool) {
	k := &t.p.Talk
	f, v, night := k.EditOf, k.Edit, k.EditOn
	k.Ask, k.Edit, k.EditOf, k.EditOn = NoAsk, Unknown, NoField, 0
	if !yes || f == NoField {
		t.say("edit.kept")
		t.openAgain()
		return
	}
	if f == SettingLeft || f == SettingRight {
		b.setting(night, []Token{{Field: f, Value: v}}, 0)
	} else {
		b.bind(night, f, v)
	}
	b.finish(t.openAgain)
}
