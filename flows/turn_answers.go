package flows

import "slices"

// said takes a text of the patient's that is neither a red flag alone nor the
// answer to an open question of the path: answers of the day, a control word
// (handed to word), or something else (handed to pass). Red flags of the text
// have been heard by then.
func (t *turn) said(s Said) {
	k, r := &t.p.Talk, &s.Reading
	t.saying = s
	b := binding{t: t, s: &t.saying, stray: s.ReplyTo != 0 && s.ReplyTo <= k.Seen}
	k.Seen = max(k.Seen, s.Message)
	k.Silent = 0
	wrong := k.Ask == AskWrong
	switch {
	case s.Edited:
		t.edited(&b)
	case k.Ask == AskEdit && (r.Word == WordYes || r.Word == WordNo):
		t.edit(&b, r.Word == WordYes)
	case len(r.Tokens) > 0 || r.Doubt != NoDoubt:
		b.answers()
	case r.Bare.Known():
		b.bare()
	case r.Word == WordUndo:
		t.undo()
	case r.Word == WordSkip:
		b.skip()
	case r.Word == WordStands, r.Word == WordStill:
		b.stands()
	case r.Word == WordWrong:
		b.wrong()
	case r.Word == WordLost:
		b.lost()
	case (r.Word == WordYes || r.Word == WordNo) && k.Open != NoField && !wrong:
		b.yesNo(r.Word == WordYes)
	case r.Word != NoWord:
		t.word(r.Word, s)
	default: // a word for people, also what is said after "something is wrong"
		if wrong {
			k.Ask = NoAsk
		}
		t.pass(s)
	}
}

// lost takes the count as lost: nothing goes forward until it is known again,
// and it is asked for at once.
func (b *binding) lost() {
	t := b.t
	if !t.trusted() {
		t.notYet()
		return
	}
	t.p.Course.LoseCount()
	t.readvise()
	t.askNamed(SettingLeft, t.natural(SettingLeft, b.s.Wall))
}

// tapped takes a tap that is not about the path: the check-ins have no inline
// buttons, so it is an old one.
func (t *turn) tapped(Tap) {
	t.say("tap.old")
	t.openAgain()
}

// binding is one message being bound to the day.
type binding struct {
	t     *turn
	s     *Said
	stray bool // a reply to an older message than the open question's

	saved   [24]saved
	n       int
	changed bool
	raised  []Raised
	refused string // key: why a named day was not taken
	told    bool   // the answer to a setting says all
	more    string // key: what else is to be said of it
	again   bool   // a question was asked again: none follows
	wrongly bool   // the patient says that something is wrong
}

type saved struct {
	night Date
	field Field
	v     Value
}

// answers binds what a text says, each answer to its own field of its own
// night, and answers with one echo and the next open question.
func (b *binding) answers() {
	t, r := b.t, &b.s.Reading
	k := &t.p.Talk
	switch k.Ask {
	case AskNumber, AskEdit:
		k.Ask = NoAsk
	case AskWrong: // the answers say what is wrong; a person sees them too
		k.Ask = NoAsk
		if !slices.Contains(r.Tokens, Token{Field: Wrong, Value: Num(No)}) {
			t.desk(ClassN, WhyMessage, b.s.Text)
		}
	}
	var named Token
	var namedOn Date
	doubt, about := r.Doubt, r.About
	for i := range r.Tokens {
		tok := &r.Tokens[i]
		if tok.Field == NoField || tok.Field >= NumFields {
			continue
		}
		if !inScale(tok.Field, tok.Value) {
			doubt, about = OutOfZone, tok.Field
			continue
		}
		night, why := t.nightOf(tok, b.s.Wall)
		switch {
		case why != "":
			b.refused = why
		case tok.Value == Unknown:
			named, namedOn = *tok, night
		case tok.Field == SettingLeft, tok.Field == SettingRight:
			b.setting(night, r.Tokens, i)
		default:
			b.bind(night, tok.Field, tok.Value)
		}
	}
	b.finish(func() {
		switch {
		case doubt != NoDoubt:
			if about == NoField { // "it hurts, a 9": asked with its scale
				about = named.Field
			}
			if t.doubt(doubt, about, b.s.Wall); about == NoField && k.Open == NoField { // nothing to ask: a person reads it
				b.rest()
			}
		case named.Field != NoField && b.n == 0:
			t.askNamed(named.Field, namedOn)
		default:
			b.rest()
			t.proceed()
		}
	})
}

// finish echoes what was saved, raises what it raised, works tonight's advice
// out again where that was given, and goes on.
func (b *binding) finish(next func()) {
	t := b.t
	b.echo()
	if b.more != "" {
		t.say(b.more)
	}
	if b.refused != "" {
		t.say(b.refused)
	}
	t.raise(b.raised, b.s.Text)
	if b.changed {
		t.readvise()
	}
	switch {
	case t.quiet():
	case b.wrongly:
		t.p.Talk.Ask = AskWrong
		t.askWrong()
	case !b.again:
		next()
	}
}

// rest hands what was not understood of a text to the desk: it may matter.
func (b *binding) rest() {
	t, r := b.t, &b.s.Reading
	if !r.Rest || t.hush || b.n == 0 {
		if b.n == 0 && b.refused == "" && !b.told && !t.hush {
			t.pass(*b.s)
			b.again = true
		}
		return
	}
	if r.Features != 0 { // a caution's card has the words already
		return
	}
	t.desk(ClassR, WhyMessage, b.s.Text)
	t.say("said.rest")
}

// record keeps one answer. The same answer twice is a double press.
func (b *binding) record(night Date, f Field, v Value) {
	t := b.t
	k := &t.p.Talk
	e, _ := t.p.Course.Entry(night)
	was := e.V[f]
	if b.n < len(b.saved) {
		b.saved[b.n] = saved{night, f, v}
		b.n++
	}
	if k.Script != NoScript {
		k.Asked |= 1 << f
	}
	if was == v {
		return
	}
	b.store(night, f, v)
	k.Last, k.LastOn, k.LastWas = f, night, was
}

// store is record without the echo, for what follows from an answer.
func (b *binding) store(night Date, f Field, v Value) {
	t := b.t
	b.raised = append(b.raised, t.p.Course.Answer(t.facts(), night, f, v, FromPatient)...)
	t.note(night, FromPatient)
	b.changed = b.changed || t.advised(t.coming())
}

// bind puts an answer where it belongs: some answers mean another field, or
// more than one.
func (b *binding) bind(night Date, f Field, v Value) {
	t := b.t
	k := &t.p.Talk
	e, _ := t.p.Course.Entry(night)
	if v == Skipped {
		if e.V[f] == Unknown {
			b.record(night, f, v)
		} else {
			if k.Script != NoScript && k.Open == f { // asked again, and left as it was
				k.Asked |= 1 << f
			}
			b.told, b.more = true, "skip.kept"
		}
		return
	}
	on, morning := t.p.Plan.half(b.s.Wall)
	fresh := morning && on == night // said in the morning of that night
	switch f {
	case NotWorn:
		if e.V[Worn] == Unknown && v.Is(ReasonMorning) {
			b.store(night, Worn, Num(WornPart))
		} else if e.V[Worn] == Unknown && v.Is(ReasonNotKnown) {
			b.store(night, Worn, Skipped)
		}
	case Reporter:
		if k.Open == Reporter {
			k.Reporter = v
		} else if v.Is(ReporterNobody) && e.V[Snoring] == Unknown {
			b.store(night, Snoring, Skipped)
			k.Asked |= 1 << Snoring
		}
	case Snoring:
		if by := t.p.reporter(); e.V[Reporter] == Unknown && by.Known() {
			b.store(night, Reporter, by)
		}
	case Gone:
		if fresh && v.Is(GoneNo) { // not gone yet: when it went is asked in the evening
			k.Asked |= 1 << Gone
			b.told, b.more = true, "saved.later"
			return
		}
	case Bite:
		b.bite(night, v, &e, fresh)
		return
	case BiteMinutes:
		if v.Is(BiteNot) && fresh {
			b.biteNot(night, &e)
			return
		}
		t.clear("recheck")
	case Wrong:
		b.wrongly = v.Is(Yes)
	}
	b.record(night, f, v)
}

// bite takes how the teeth meet. After the hour of the recheck it says whether
// the bite is back by then; in the evening the morning's own answer stays.
func (b *binding) bite(night Date, v Value, e *Entry, fresh bool) {
	t := b.t
	away := e.V[Bite].Known() && !e.V[Bite].Is(BiteBoth)
	switch {
	case away && e.Asked&askedAgain != 0 && fresh && v.Is(BiteBoth):
		b.record(night, BiteMinutes, Num(recheckAfter))
	case away && e.Asked&askedAgain != 0 && fresh:
		b.record(night, BiteMinutes, Num(hourPassed))
	case away && !fresh && v.Is(BiteBoth): // back by now; when is the question
		t.askNamed(BiteMinutes, night)
		b.again = true
	case away && !fresh:
		b.record(night, BiteMinutes, Num(BiteNot))
	default:
		b.record(night, Bite, v)
		if fresh && !v.Is(BiteBoth) && e.V[BiteMinutes] == Unknown {
			t.after("recheck", recheckAfter)
			b.more = "bite.recheck"
		} else if v.Is(BiteBoth) {
			t.clear("recheck")
		}
	}
}

// biteNot takes "not back" in the morning: before the recheck it is how the
// teeth meet now, at the recheck it is more than an hour.
func (b *binding) biteNot(night Date, e *Entry) {
	if e.Asked&askedAgain != 0 {
		b.record(night, BiteMinutes, Num(hourPassed))
		return
	}
	v := e.V[Bite]
	if !v.Known() || v.Is(BiteBoth) {
		v = Num(BiteUnsure)
	}
	b.bite(night, v, e, true)
}

// skip leaves the open question.
func (b *binding) skip() {
	t := b.t
	f, night := t.p.Talk.Open, t.openOn(b.s.Wall)
	if f == NoField {
		t.say("skip.none")
		t.openAgain()
		return
	}
	b.bind(night, f, Skipped)
	b.finish(t.proceed)
}

// wrong takes "something is wrong".
func (b *binding) wrong() {
	t := b.t
	night, _ := t.p.Plan.half(b.s.Wall)
	b.bind(night, Wrong, Num(Yes))
	b.n = 0                                      // the question says it
	t.timer("commit", t.e.Wall.Add(remindAfter)) // without a word by then, a person is told
	b.finish(t.proceed)
}

// askWrong asks what is wrong, in the patient's own words.
func (t *turn) askWrong() {
	t.p.Talk.Open = NoField
	t.reply(t.line("wrong.ask"), Say("wrong.urgent", t.numbers()...)).Choices = [][]Choice{{{Word: WordCall}}, {{Word: WordUndo}}}
}

// yesNo takes a bare yes or no for the open question where that is an answer.
func (b *binding) yesNo(yes bool) {
	t := b.t
	f, v := t.p.Talk.Open, Unknown
	switch f {
	case Woken, Guide, Nose, Pauses, Headache, Wrong:
		v = Num(No)
		if yes {
			v = Num(Yes)
		}
	case Driving: // the worse of what a yes may mean
		v = Num(DrivingNo)
		if yes {
			v = Num(DrivingYes)
		}
	case Worn:
		if !yes {
			v = Num(WornNo)
		}
	case Gone:
		if _, morning := t.p.Plan.half(b.s.Wall); morning && yes {
			v = Num(GoneMorning)
		} else if !yes {
			v = Num(GoneNo)
		}
	case Bite:
		if yes {
			v = Num(BiteBoth)
		}
	}
	if v == Unknown || !b.direct() {
		t.say("said.which")
		t.openAgain()
		return
	}
	b.bind(t.openOn(b.s.Wall), f, v)
	b.finish(t.proceed)
}
