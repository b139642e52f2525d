package flows

// A bare number names no question. It is taken for the open one only where it
// is a reply to that question, or was sent long enough after it; else it is
// said back, and asked for which question it was.

// readTime is how many seconds after a question a bare number can be meant for it.
const readTime = 2

// direct tells whether a message without a question's name can be meant for the
// open question.
func (b *binding) direct() bool {
	k := &b.t.p.Talk
	if k.Open == NoField || b.stray || k.Ask == AskNumber {
		return false
	}
	return b.s.ReplyTo != 0 || b.s.Sent.Unix() >= k.OpenAt+readTime
}

// bare takes a text that is one number.
func (b *binding) bare() {
	t := b.t
	n := b.s.Reading.Bare.N()
	f := t.p.Talk.Open
	if !b.direct() {
		t.askNumber(n)
		return
	}
	v, doubt := fieldNumber(f, n)
	switch {
	case doubt != NoDoubt:
		t.doubt(doubt, f, b.s.Wall)
		return
	case v == Unknown: // the open question takes no number
		t.say("said.which")
		t.openAgain()
		return
	}
	tok := Token{Field: f, Value: v}
	night := t.openOn(b.s.Wall)
	if f == SettingLeft || f == SettingRight {
		b.setting(night, []Token{tok}, 0)
	} else {
		b.bind(night, f, v)
	}
	b.finish(t.proceed)
}

// fieldNumber makes a number an answer of a field: hours worn, minutes of the
// bite, a score. Unknown where the field takes no number.
func fieldNumber(f Field, n int) (Value, Doubt) {
	least, most, times := 0, 10, 1
	switch f {
	case Snoring, Pain, Sleepiness:
	case WornMinutes:
		most, times = 16, 60
	case BiteMinutes:
		most = 1439
	case GuideMinutes:
		most = 240
	case SettingLeft, SettingRight:
		least, most = -99, 999
	default:
		return Unknown, NoDoubt
	}
	if n < least || n > most {
		return Unknown, OutOfZone
	}
	return Num(n * times), NoDoubt
}

// askNumber says a number back and asks which question it was for. The quick
// answers name theirs.
func (t *turn) askNumber(n int) {
	k := &t.p.Talk
	k.Ask = AskNumber
	var rows [][]Choice
	for _, f := range [...]Field{k.Open, Pain, Snoring, SettingLeft, WornMinutes} {
		v, doubt := fieldNumber(f, n)
		if f == NoField || v == Unknown || doubt != NoDoubt || f == k.Open && len(rows) > 0 {
			continue
		}
		rows = append(rows, []Choice{{Field: f, Value: v}})
	}
	if len(rows) == 0 {
		k.Ask = NoAsk
		t.say("number.odd")
		t.openAgain()
		return
	}
	t.reply(Say("number.which", ArgN("n", n))).Choices = rows
}

// doubt answers a number that could not be read: nothing is kept of it, and the
// question names its scale.
func (t *turn) doubt(d Doubt, about Field, w Wall) {
	if about == NoField {
		about = t.p.Talk.Open
	}
	key := [...]string{NoDoubt: "doubt.odd", IsRange: "doubt.range", IsHalf: "doubt.half", OutOfZone: "doubt.zone", IsRatio: "doubt.ratio", IsOdd: "doubt.odd", Repeated: "doubt.repeated"}[min(d, Repeated)]
	t.say(key)
	switch about {
	case Pain, Snoring, Sleepiness:
		t.say("scale.ten")
	case SettingLeft, SettingRight:
		t.say("scale.setting")
	case WornMinutes, Worn:
		t.say("scale.hours")
	case GuideMinutes, BiteMinutes, Guide, Bite:
		t.say("scale.minutes")
	}
	if about == NoField || t.p.Talk.Open == about {
		t.openAgain()
		return
	}
	t.askNamed(about, t.natural(about, w))
}

// askNamed asks a question that the patient named without an answer.
func (t *turn) askNamed(f Field, night Date) {
	k := &t.p.Talk
	if t.quiet() || t.hush {
		return
	}
	switch f {
	case SettingLeft, SettingRight:
		l := t.look(MorningCheck, night)
		q := question{field: f, key: "ask.count", rows: (*look).counts}
		if f == SettingRight {
			q.key = "ask.setting.right"
		}
		t.pose(&q, l)
		return
	case GuideMinutes:
		f = Guide
	}
	if k.Script == NoScript || k.Script == EveningCheck && !OfTonight(f) && night != k.Night-1 {
		t.endScript()
	}
	t.askField(f, night)
}
