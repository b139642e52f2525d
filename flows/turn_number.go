package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// A bare number names no question. It is taken for the open one only where it
// is a reply to that question, or was sent long enough after it; else it is
// said back, and asked for which question it was.

// readTime is how many seconds after a question a bare number can be meant for it.
const readTime = 2

// direct reports whether a message without a question's name can be meant for the
// open question.
func (b *dayAnswers) direct() bool {
	k := &b.t.p.Talk
	if k.Open == chart.NoField || b.stray || k.Ask == AskNumber {
		return false
	}
	return b.s.ReplyTo != 0 || b.s.Sent.Unix() >= k.OpenAt+readTime
}

// bare takes a text that is one number.
func (b *dayAnswers) bare() {
	t := b.t
	n := b.s.Reading.Bare.N()
	f := t.p.Talk.Open
	switch r := &b.s.Reading; {
	case r.Both && f.Row().Kind == chart.Setting && b.direct(): // a number of both sides
		r.Bare, r.Tokens = chart.Unknown, []reading.Token{{Field: chart.SettingLeft, Value: chart.Num(n)}, {Field: chart.SettingRight, Value: chart.Num(n)}}
		b.answers()
		return
	case r.Both:
		t.askNumber(n)
		return
	case r.Mends && b.mends(n):
		return
	case !b.direct():
		t.askNumber(n)
		return
	}
	v, doubt := fieldNumber(f, n)
	switch {
	case doubt != reading.NoDoubt:
		t.doubt(doubt, f, b.s.Wall)
		return
	case v == chart.Unknown: // the open question takes no number
		t.say("said.which")
		t.openAgain()
		return
	}
	tok := reading.Token{Field: f, Value: v}
	night := t.openOn(b.s.Wall)
	if f.Row().Kind == chart.Setting {
		b.setting(night, []reading.Token{tok}, 0)
	} else {
		b.take(night, f, v)
	}
	b.finish(t.proceed)
}

// mends asks whether a number puts right the last answer, or which question it is for where the open one takes it, too; false where no
// answer could be meant.
func (b *dayAnswers) mends(n int) bool {
	k := &b.t.p.Talk
	f, night := k.Last, k.LastOn
	v, doubt := fieldNumber(f, n)
	if k.Ask == AskEdit { // the change that waits is meant
		f, night = k.EditOf, k.EditOn
		v, doubt = fieldNumber(f, n)
	}
	if f == chart.NoField || v == chart.Unknown || doubt != reading.NoDoubt || night+1 < b.t.nights() {
		return false
	}
	if open, doubt := fieldNumber(k.Open, n); k.Open != f && open.Known() && doubt == reading.NoDoubt && k.Ask != AskEdit {
		b.t.askNumber(n)
		return true
	}
	b.t.askEdit(f, v, night)
	return true
}

// fieldNumber makes a number an answer of a field: hours worn, minutes of the
// bite, a score. Unknown where the field takes no number.
func fieldNumber(f chart.Field, n int) (chart.Answer, reading.Doubt) {
	r := f.Row()
	most, times := r.Said, 1
	switch r.Kind {
	case chart.Scale, chart.Setting:
	case chart.Hours:
		most, times = r.Said/60, 60
	case chart.Minutes:
		if r.Never != "" { // that is no length of time
			most = min(most, r.Most-1)
		}
	default:
		return chart.Unknown, reading.NoDoubt
	}
	if n < r.Least || n > most {
		return chart.Unknown, reading.OutOfZone
	}
	return chart.Num(n * times), reading.NoDoubt
}

// askNumber says a number back and asks which question it was for. The quick
// answers name theirs.
func (t *turn) askNumber(n int) {
	k := &t.p.Talk
	k.Ask = AskNumber
	var rows [][]message.Choice
	for _, f := range [...]chart.Field{k.Open, k.Last, chart.Pain, chart.Snoring, chart.SettingLeft, chart.WornMinutes} {
		v, doubt := fieldNumber(f, n)
		if f == chart.NoField || v == chart.Unknown || doubt != reading.NoDoubt || slices.ContainsFunc(rows, func(row []message.Choice) bool { return row[0].Field == f }) {
			continue
		}
		rows = append(rows, []message.Choice{{Field: f, Value: v}})
	}
	if len(rows) == 0 {
		k.Ask = NoAsk
		t.say("number.odd")
		t.openAgain()
		return
	}
	t.reply(message.Say("number.which", message.ArgN("n", n))).Choices = rows
}

// doubt answers a number that could not be read: nothing is kept of it, and the
// question names its scale.
func (t *turn) doubt(d reading.Doubt, about chart.Field, w civil.Wall) {
	if about == chart.NoField {
		about = t.p.Talk.Open
	}
	key := [...]string{reading.NoDoubt: "doubt.odd", reading.IsRange: "doubt.range", reading.IsHalf: "doubt.half",
		reading.OutOfZone: "doubt.zone", reading.IsRatio: "doubt.ratio", reading.IsOdd: "doubt.odd", reading.Repeated: "doubt.repeated"}[min(d, reading.Repeated)]
	t.say(key)
	switch scaleOf(about) {
	case chart.Scale:
		t.say("scale.ten")
	case chart.Setting:
		t.say("scale.setting")
	case chart.Hours:
		t.say("scale.hours")
	case chart.Minutes:
		t.say("scale.minutes")
	}
	if about == chart.NoField || t.p.Talk.Open == about {
		t.openAgain()
		return
	}
	t.askNamed(about, t.natural(about, w))
}

// scaleOf is what the numbers of a question are: its own, or those of a length
// of time that is said along with it.
func scaleOf(f chart.Field) chart.Kind {
	k := f.Row().Kind
	for g := chart.NoField + 1; g < chart.NumFields && (k == chart.Choice || k == chart.YesNo); g++ {
		if r := g.Row(); r.With == f && r.Kind.Timed() {
			return r.Kind
		}
	}
	return k
}

// askNamed asks a question that the patient named without an answer.
func (t *turn) askNamed(f chart.Field, night civil.Date) {
	k := &t.p.Talk
	if t.quiet() || t.hush {
		return
	}
	if f.Row().Kind == chart.Setting {
		l := t.contextOf(MorningCheck, night)
		q := question{field: f, key: "ask.count", rows: (*context).counts}
		if f == chart.SettingRight {
			q.key = "ask.setting.right"
		}
		t.pose(&q, l)
		return
	}
	if !asked(f) {
		f = f.Row().With
	}
	if k.CheckIn == NoCheckIn || k.CheckIn == EveningCheck && f.Row().About != chart.Tonight && night != k.Night-1 {
		t.endCheckIn()
	}
	t.askField(f, night)
}
