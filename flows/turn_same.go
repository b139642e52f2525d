package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// "Same as yesterday" is an answer that people give to everything. It is none until it was said what that was, and one tap has confirmed it:
// who gives it may not remember.

// same offers the answer of the night before to the open question. Where it stands, and whether anything is wrong, is never copied.
func (t *turn) same() {
	k := &t.p.Talk
	f, night := k.Open, t.openOn(t.e.Wall)
	before, _ := t.p.Course.Entry(night - 1)
	switch v := before.V[f]; {
	case f == chart.NoField:
		t.say("help.unasked")
		t.goOn()
	case f.Row().Kind == chart.Setting, f == chart.Wrong, f == chart.New, !v.Known() || v == chart.Skipped:
		t.say("same.none")
		t.openAgain()
	case !t.quiet() && !t.hush:
		k.Ask, k.Edit, k.EditOf, k.EditOn = AskEdit, v, f, night
		t.reply(message.Say("same.ask", message.ArgD("date", night)), t.answerLine(f, v)).Choices = [][]message.Choice{{{Word: reading.WordYes},
			{Word: reading.WordNo}}}
	}
}
