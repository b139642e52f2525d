package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
)

// fieldKey are a field's keys, written out once: the read-back is part of every answer.
type fieldKey struct {
	name   string   // "field.pain"
	ask    string   // "ask.pain"
	label  string   // "label.pain"
	labels []string // "label.worn.0" and on, of answers that have words of their own
	never  string   // "label.biteminutes.1440"
}

var fieldKeys = func() (keys [chart.NumFields]fieldKey) {
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		k, r := &keys[f], f.Row()
		k.name, k.ask, k.label = "field."+r.Name, "ask."+r.Name, "label."+r.Name
		switch {
		case r.Kind == chart.Choice || r.Kind == chart.YesNo:
			for n := range r.Most + 1 {
				k.labels = append(k.labels, k.label+"."+itoa(n))
			}
		case r.Never != "":
			k.never = k.label + "." + itoa(r.Most)
		}
	}
	return keys
}()

// readBack says what was saved: one answer in one line; several, or answers of
// another night, under their date.
func (b *dayAnswers) readBack() {
	t := b.t
	if b.n == 0 {
		return
	}
	plain := true
	for i := range b.saved[:b.n] {
		plain = plain && b.saved[i].night == t.natural(b.saved[i].field, b.s.Wall)
	}
	if b.n == 1 && plain {
		t.reply(t.savedLine(b.saved[0].field, b.saved[0].v))
		return
	}
	var on civil.Date
	for i := range b.saved[:b.n] {
		x := &b.saved[i]
		if plain && i == 0 {
			t.say("saved.head")
		} else if !plain && (i == 0 || x.night != on) {
			t.reply(t.line("saved.on", message.ArgD("date", x.night)))
		}
		on = x.night
		t.reply(t.answerLine(x.field, x.v))
	}
}

// answerLine is an answer in words, as its quick answer has it.
func (t *turn) answerLine(f chart.Field, v chart.Answer) message.Line {
	k, r, n := &fieldKeys[f], f.Row(), v.N()
	switch {
	case v == chart.Skipped:
		return t.line("label.skip", message.ArgK("question", k.name))
	case f == chart.BiteMinutes && v.Is(hourPassed):
		return t.line("answer.bite.hour")
	case !r.Worded(v) && r.Kind.Timed():
		return t.line(k.label, message.Arg{Name: "time", Kind: message.ArgMinutes, N: int64(n)})
	case !r.Worded(v):
		return t.line(k.label, message.ArgN("n", n))
	case k.never != "":
		return message.Say(k.never)
	case n >= 0 && n < len(k.labels):
		return message.Say(k.labels[n])
	}
	return message.Say(k.label + "." + itoa(n))
}

// savedLine is one answer, saved.
func (t *turn) savedLine(f chart.Field, v chart.Answer) message.Line {
	r, what := f.Row(), message.ArgK("what", fieldKeys[f].name)
	switch {
	case v == chart.Skipped:
		return t.line("saved.skipped", what)
	case f == chart.BiteMinutes && v.Is(hourPassed), r.Worded(v):
		return t.line("saved.one", message.ArgK("answer", t.answerLine(f, v).Key))
	case r.Kind.Timed():
		return t.line("saved.time", what, message.Arg{Name: "time", Kind: message.ArgMinutes, N: int64(v.N())})
	}
	return t.saidNumber(f, v)
}

func (t *turn) saidNumber(f chart.Field, v chart.Answer) message.Line {
	return t.line("saved.number", message.ArgK("what", fieldKeys[f].name), message.ArgN("n", v.N()))
}

// itoa writes the small numbers of answers.
func itoa(n int) string {
	if n >= 0 && n < 10 {
		return "0123456789"[n : n+1]
	}
	return number(int32(n))
}
