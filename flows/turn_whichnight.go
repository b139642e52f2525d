package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// oldest is how many nights back an answer is taken.
const oldest = 7

// nightOf finds the night an answer is about: the day it names, else the open
// question's, else last night for what a morning tells and tonight for the
// rest. A day that is too long ago, or still to come, gives the key of why not.
func (t *turn) nightOf(tok *reading.Token, w civil.Wall) (civil.Date, string) {
	n, morning := t.p.Plan.Half(w)
	today := n
	if morning {
		today = n + 1
	}
	d := tok.Night
	if d == 0 && tok.Day.Kind != reading.NoDay {
		var ok bool
		if d, ok = tok.Day.Date(today); !ok {
			return 0, "date.none"
		}
	}
	if d == 0 {
		if tok.Field == t.p.Talk.Open {
			return t.openOn(w), ""
		}
		return t.natural(tok.Field, w), ""
	}
	if d == today && tok.Field.Row().About != chart.Tonight { // "today" of a morning's answer: the night that led to it
		d = t.lastNight(w)
	}
	first := t.p.Plan.Fitted
	if t.p.Course.N > 0 {
		first = min(t.p.Course.Nights[0].Night, first)
	}
	switch {
	case d > n:
		return 0, "date.ahead"
	case d < n-oldest || d < first:
		return 0, "date.old"
	}
	return d, ""
}

// nightOf is the night of one answer among those of a text. The first day has no other
// night: what raises a flag is of that one, whichever it names.
func (b *dayAnswers) nightOf(tok *reading.Token) (civil.Date, string) {
	night, why := b.t.nightOf(tok, b.s.Wall)
	if why == "date.old" && b.worries(tok) && b.t.lastNight(b.s.Wall) <= b.t.p.Plan.Fitted {
		return b.t.natural(tok.Field, b.s.Wall), ""
	}
	return night, why
}

// twice makes a question of what one text answers twice, differently, for one
// night: which of the two holds is asked, not guessed, but for one that raises a
// flag. "Thursday pain 3, Friday pain 1" is that on a Friday, since its own night
// is still to come, and so are two sides of an appliance that has one.
func (b *dayAnswers) twice() {
	r := &b.s.Reading
	said := r.Tokens
	for i := range said {
		for j := range i {
			x, y := &said[j], &said[i]
			if x.Field >= chart.NumFields || b.question(x.Field) != b.question(y.Field) || x.Value == y.Value ||
				x.Value == chart.Unknown || y.Value == chart.Unknown {
				continue
			}
			on, why := b.nightOf(x)
			if also, no := b.nightOf(y); on != also || why != "" || no != "" {
				continue
			}
			r.Tokens, r.Rest = slices.Clone(r.Tokens), true // what was said is compared as it was
			if !b.worries(y) || b.worries(x) {
				r.Tokens[i].Value = chart.Unknown
			}
			if !b.worries(x) {
				r.Tokens[j].Value = chart.Unknown
			}
		}
	}
}

// worries reports whether an answer by itself raises a flag.
func (b *dayAnswers) worries(tok *reading.Token) bool {
	return slices.ContainsFunc(redflag.ByAnswer(tok.Field), func(row *redflag.Row) bool {
		return row.Field == tok.Field && row.Reached(tok.Value, &b.t.p.Baseline)
	})
}

// question is the field whose answer another's is, too: of one side there is one setting.
func (b *dayAnswers) question(f chart.Field) chart.Field {
	if f == chart.SettingRight && !b.t.p.Appliance.TwoSided {
		return chart.SettingLeft
	}
	return f
}

// natural is the night an answer is about where nothing else says so.
func (t *turn) natural(f chart.Field, w civil.Wall) civil.Date {
	n, _ := t.p.Plan.Half(w)
	switch f.Row().About {
	case chart.AsTurned:
		if !t.advised(n) {
			n--
		}
		if c := &t.p.Course; c.InDoubt {
			n = max(n, c.SetOn) // the newest word counts
		}
		return n
	case chart.Tonight:
		return n
	}
	return t.lastNight(w)
}

// openOn is the night the open question is about.
func (t *turn) openOn(w civil.Wall) civil.Date {
	k := &t.p.Talk
	if k.Open.Row().About == chart.AsTurned {
		return t.natural(k.Open, w)
	}
	if k.CheckIn == EveningCheck && k.Open.Row().About != chart.Tonight {
		return k.Night - 1
	}
	if k.Open == chart.NoField {
		return t.lastNight(w)
	}
	return k.Night
}

// setting takes a typed or pressed setting, the token at i. Two sides are said
// left and right; a quick answer that names the advised or the last confirmed
// setting says both.
func (b *dayAnswers) setting(night civil.Date, tokens []reading.Token, i int) {
	t, tok := b.t, &tokens[i]
	if tok.Value == chart.Skipped {
		b.take(night, tok.Field, chart.Skipped)
		return
	}
	e, _ := t.p.Course.Entry(night)
	follows := i+1 < len(tokens) && tokens[i+1].Field == chart.SettingRight
	left, right := b.sides(tok, &e, follows)
	k := &t.p.Talk
	if k.CheckIn != NoCheckIn {
		k.Asked |= 1 << tok.Field
	}
	if was := e.V[tok.Field]; was != tok.Value || t.p.Course.InDoubt {
		k.Last, k.LastOn, k.LastWas = tok.Field, night, was
		t.answers = true
	}
	b.told = true
	if left.Known() && right.Known() {
		b.confirm(night, left, right, e.V[tok.Field])
		return
	}
	b.oneSide(night, tok, &e, follows)
}

// sides works out where both sides stand by what was said of one; unknown is a
// side that follows in the same text, or is asked next.
func (b *dayAnswers) sides(tok *reading.Token, e *chart.Entry, follows bool) (left, right chart.Answer) {
	c, ap := &b.t.p.Course, &b.t.p.Appliance
	switch word := b.s.Reading.Word; {
	case !ap.TwoSided: // also "right side 5" of an appliance with one side
		return tok.Value, tok.Value
	case tok.Field == chart.SettingRight:
		return e.V[chart.SettingLeft], tok.Value
	case word == reading.WordStands && tok.Value.Is(int(c.Advice.To)):
		return tok.Value, chart.Num(int(c.Advice.To + ap.Offset))
	case word == reading.WordStill && tok.Value.Is(int(c.Left)):
		return tok.Value, chart.Num(int(c.Right))
	case follows, e.V[chart.SettingLeft].Known() && e.V[chart.SettingLeft] != tok.Value: // the other side may have moved too
		return tok.Value, chart.Unknown
	}
	return tok.Value, e.V[chart.SettingRight]
}

// oneSide keeps the side that was said until the other one is known.
func (b *dayAnswers) oneSide(night civil.Date, tok *reading.Token, e *chart.Entry, follows bool) {
	t := b.t
	isLeft := tok.Field == chart.SettingLeft
	if isLeft && e.V[chart.SettingRight].Known() && !follows {
		b.store(night, chart.SettingRight, chart.Unknown)
	}
	if e.V[tok.Field] != tok.Value {
		b.store(night, tok.Field, tok.Value)
	}
	if follows {
		return
	}
	doubted := t.p.Course.InDoubt
	b.raised = append(b.raised, t.p.Course.HearSide(t.facts(), night, tok.Field, chart.Steps(tok.Value.N()))...)
	if t.p.Course.InDoubt && !doubted {
		b.changed = b.changed || t.advised(t.coming())
		b.lookAgain(night, tok.Value)
		return
	}
	t.reply(t.saidNumber(tok.Field, tok.Value))
	if !isLeft {
		t.askNamed(chart.SettingLeft, night)
		b.again = true
		return
	}
	if t.p.Course.InDoubt && t.p.Talk.CheckIn == NoCheckIn { // a check-in asks it in its turn
		t.askNamed(chart.SettingRight, night)
		b.again = true
	}
}

// confirm takes a setting whose both sides are known as the patient's word for
// where the appliance stands; was is what this night had before.
func (b *dayAnswers) confirm(night civil.Date, left, right, was chart.Answer) {
	t := b.t
	c := &t.p.Course
	at, doubted := chart.Steps(left.N()), c.InDoubt
	b.raised = append(b.raised, c.Confirm(t.facts(), night, at, chart.Steps(right.N()))...)
	t.note(night, chart.FromPatient)
	tonight := t.advised(night) && night == t.coming()
	if !tonight {
		b.changed = b.changed || t.advised(t.coming())
	}
	switch {
	case c.InDoubt && (!doubted || was == chart.Unknown): // not what it can be: look once more
		b.lookAgain(night, b.odd(left, right))
	case tonight && c.InDoubt:
		t.confirmedAt(&c.Advice, chart.Steps(b.odd(left, right).N()))
	case tonight:
		t.confirmedAt(&c.Advice, at)
	default:
		t.reply(t.saidNumber(chart.SettingLeft, left))
	}
}

// odd is the side that is further from where it was confirmed last.
func (b *dayAnswers) odd(left, right chart.Answer) chart.Answer {
	far := func(n int) int { n -= int(b.t.p.Course.Left); return max(n, -n) }
	if far(right.N()-int(b.t.p.Appliance.Offset)) > far(left.N()) {
		return right
	}
	return left
}

// lookAgain says back a number that is not what it can be, and asks for a second look.
func (b *dayAnswers) lookAgain(night civil.Date, said chart.Answer) {
	t := b.t
	t.reply(message.Say("confirm.look", message.ArgN("n", said.N())))
	t.p.Talk.Open, t.p.Talk.OpenAt = chart.SettingLeft, t.now()
	l := t.contextOf(MorningCheck, night)
	t.reply().Choices = append(l.counts(), []message.Choice{{Word: reading.WordWrong}, {Word: reading.WordCall}})
	b.again = true
}

// stands takes "it stands" and "it is still", without a number: tonight's
// setting, and the last one.
func (b *dayAnswers) stands() {
	t := b.t
	c := &t.p.Course
	night := t.natural(chart.SettingLeft, b.s.Wall)
	e, _ := c.Entry(night)
	at := c.Left
	if b.s.Reading.Word == reading.WordStands && e.Action != chart.NoAction {
		at = e.To
	}
	b.setting(night, []reading.Token{{Field: chart.SettingLeft, Value: chart.Num(int(at))}}, 0)
	b.finish(t.proceed)
}

// offersOne reports whether the open question where it stands offers one number alone: then "yes" is that number. Of two it is neither.
func (t *turn) offersOne() bool {
	c := &t.p.Course
	e, _ := c.Entry(t.natural(chart.SettingLeft, t.e.Wall))
	return e.Action != chart.NoAction && e.To == c.Left && c.Low == c.High && !t.p.Appliance.TwoSided && c.Advice.Reason != pacing.ReasonRestored
}
