package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// daySaid takes a text of the patient's that is neither a red flag alone nor the
// answer to an open question of the path: answers of the day, a control word
// (handed to word), or something else (handed to pass). Red flags of the text
// have been heard by then.
func (t *turn) daySaid(s Said) {
	k, r := &t.p.Talk, &s.Reading
	t.saying = s
	b := dayAnswers{t: t, s: &t.saying, stray: s.ReplyTo != 0 && s.ReplyTo <= k.Seen}
	k.Seen = max(k.Seen, s.Message)
	k.Silent = 0
	wrong := k.Ask == AskWrong
	switch {
	case s.Edited:
		t.edited(&b)
	case k.Ask == AskEdit && (r.Word == reading.WordYes || r.Word == reading.WordNo):
		t.edit(&b, r.Word == reading.WordYes)
	case len(r.Tokens) > 0 || r.Doubt != reading.NoDoubt:
		b.answers()
	case r.Bare.Known():
		b.bare()
	case r.Word == reading.WordUndo:
		t.undo()
	case r.Word == reading.WordSkip:
		b.skip()
	case r.Word == reading.WordStands, r.Word == reading.WordStill:
		b.stands()
	case r.Word == reading.WordWrong:
		b.wrong()
	case r.Word == reading.WordLost:
		b.lost()
	case r.Word == reading.WordSame:
		t.same()
	case (r.Word == reading.WordYes || r.Word == reading.WordNo) && k.Open != chart.NoField && !wrong:
		b.yesNo(r.Word == reading.WordYes)
	case r.Word != reading.NoWord:
		t.word(r.Word, s)
	default: // a word for people, also what is said after "something is wrong"
		if wrong {
			k.Ask, s.Reading.Calm, s.Reading.Topic = NoAsk, false, reading.NoTopic
		}
		t.pass(s)
	}
}

// tapped takes a tap that is not about the path: the check-ins have no inline
// buttons, so it is an old one.
func (t *turn) tapped(Tap) {
	t.say("tap.old")
	t.openAgain()
}

// dayAnswers is one message being bound to the day.
type dayAnswers struct {
	t     *turn
	s     *Said
	stray bool // a reply to an older message than the open question's

	saved   [24]saved
	n       int
	changed bool
	raised  []redflag.Raised
	refused string // key: why a named day was not taken
	told    bool   // the answer to a setting says all
	more    string // key: what else is to be said of it
	again   bool   // a question was asked again: none follows
	wrongly bool   // the patient says that something is wrong
	ofWrong bool   // ... and what it is
}

type saved struct {
	night civil.Date
	field chart.Field
	v     chart.Answer
}

// answers binds what a text says, each answer to its own field of its own
// night, and answers with one read-back and the next open question.
func (b *dayAnswers) answers() {
	t, r := b.t, &b.s.Reading
	k := &t.p.Talk
	waits := k.Ask == AskEdit && !slices.ContainsFunc(r.Tokens, func(tok reading.Token) bool { return tok.Field == k.EditOf })
	switch k.Ask {
	case AskNumber, AskEdit:
		k.Ask = NoAsk
	case AskWrong: // the answers say what is wrong; a person sees them too
		k.Ask = NoAsk
		b.ofWrong = !slices.Contains(r.Tokens, reading.Token{Field: chart.Wrong, Value: chart.Num(chart.No)})
	}
	b.twice()
	var named, other reading.Token
	var namedOn, otherOn civil.Date
	doubt, about := r.Doubt, r.About
	bind := func(i int) {
		tok := &r.Tokens[i]
		if tok.Field == chart.NoField || tok.Field >= chart.NumFields {
			return
		}
		if !tok.Field.Takes(tok.Value) {
			doubt, about = reading.OutOfZone, tok.Field
			return
		}
		night, why := b.nightOf(tok)
		switch {
		case tok.Field == chart.Wrong && tok.Value.Is(chart.No) && k.CheckIn != EveningCheck:
			r.Calm = r.Calm || !r.Rest // "all good" in the morning: the evening asks for itself
		case why != "":
			if b.refused = why; b.worries(tok) { // no diary of ours can take it, and a threshold counts all the same
				b.hand(redflag.ClassN)
			}
		case tok.Value == chart.Unknown:
			named, namedOn = *tok, night
		case (r.Rest || r.Heard || r.Doubt != reading.NoDoubt) && b.replaces(night, tok): // understood in part: only a tap may change what is stored
			other, otherOn = *tok, night
		case tok.Field.Row().Kind == chart.Setting:
			b.setting(night, r.Tokens, i)
		default:
			b.take(night, tok.Field, tok.Value)
		}
	}
	for i := range r.Tokens {
		if r.Tokens[i].Field != chart.Woken {
			bind(i)
		}
	}
	for i := range r.Tokens { // after the pain: the two are judged together, whichever was said first
		if r.Tokens[i].Field == chart.Woken {
			bind(i)
		}
	}
	b.finish(func() {
		switch {
		case doubt != reading.NoDoubt:
			if about == chart.NoField { // "it hurts, a 9": asked with its scale
				about = named.Field
			}
			if other.Field != chart.NoField && !t.hush { // that number is asked first; that the other was not taken is seen by people
				b.hand(redflag.ClassR)
				t.say("said.rest")
			}
			// nothing to ask: a person reads it
			if t.doubt(doubt, about, b.s.Wall); about == chart.NoField && k.Open == chart.NoField {
				b.rest()
			}
		case other.Field != chart.NoField:
			if r.Rest && !t.hush {
				b.hand(redflag.ClassR)
				t.say("said.rest")
			}
			t.askEdit(other.Field, other.Value, otherOn)
		case named.Field != chart.NoField && b.n == 0:
			if r.Rest && !t.hush { // what was said of it goes to a person as well
				t.words = true
				b.hand(redflag.ClassN)
				t.words = false
				if esc := t.openAlready(redflag.ClassN, WhyMessage); esc != nil && r.Understood == reading.NotUnderstood {
					esc.Unread = true // what is asked back answers none of them
				}
				t.say("said.rest")
			}
			t.askNamed(named.Field, namedOn)
		default:
			switch b.rest(); {
			case t.safetyAsked():
			case waits: // something else was answered first
				k.Ask = AskEdit
				t.openAgain()
			default:
				t.proceed()
			}
		}
	})
}

// replaces reports whether an answer would take the place of another. An appliance
// with one side has one setting, whichever side is said.
func (b *dayAnswers) replaces(night civil.Date, tok *reading.Token) bool {
	e, _ := b.t.p.Course.Entry(night)
	was := e.V[tok.Field]
	if tok.Field == chart.SettingRight && !b.t.p.Appliance.TwoSided {
		was = e.V[chart.SettingLeft]
	}
	return was.Known() && was != tok.Value
}

// finish reads back what was saved, raises what it raised, works tonight's advice
// out again where that was given, and goes on.
func (b *dayAnswers) finish(next func()) {
	t := b.t
	b.readBack()
	if b.more != "" {
		t.say(b.more)
	}
	if b.refused != "" {
		t.say(b.refused)
	}
	b.wornAnyway()
	t.raise(b.raised, b.s.Text)
	if b.ofWrong {
		b.hand(redflag.ClassN)
	}
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
func (b *dayAnswers) rest() {
	t, r := b.t, &b.s.Reading
	switch {
	case t.hush:
	case b.n == 0 && b.refused == "" && !b.told:
		t.pass(*b.s)
		b.again = true
	case r.Rest && len(t.rose) == 0 && !r.Calm && t.trusted(): // what is left may be a danger: it is asked, and until then nothing goes forward
		b.hand(redflag.ClassR)
		if esc := t.openAlready(redflag.ClassR, WhyMessage); esc != nil {
			esc.Unread = true
		}
		t.say("said.rest")
		t.reply(message.Say("wrong.urgent", t.numbers()...))
		t.askSafety()
	case r.Rest && len(t.rose) == 0: // else its caution says who hears of it
		b.hand(redflag.ClassR)
		t.say("said.rest")
	}
}

// hand puts the words before people, once: what they raised has them already.
func (b *dayAnswers) hand(class redflag.Class) {
	if !b.t.carded {
		b.t.toDesk(class, WhyMessage, b.s.Text)
		b.t.carded = true
	}
}
