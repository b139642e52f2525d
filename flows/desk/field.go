package desk

import (
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// putField asks for one blank of the table: its question, why it matters where
// it has bounds, its default one tap away, its choices as buttons.
func (t *turn) putField(key string, last []message.Button) {
	f := &t.c.Form
	fields := enrol.FormFields()
	i := enrol.FormIndex(fields, key)
	if i < 0 {
		return
	}
	field := fields[i]
	e := &f.Filled.Enrolment
	m := message.Message{Lines: []message.Line{message.Say("enrol.ask", message.ArgK("field", "enrol.f."+key),
		message.ArgK("how", "enrol.how."+kindName(field)))}}
	if zero := e.Baseline.Zero; key == "max-mm" && zero != chart.ZeroUnset {
		m.Lines[0] = message.Say("enrol.ask.from", append(m.Lines[0].Args, message.ArgK("zero", zeroKey(zero)))...)
	}
	usual := field.DefaultFor(t.pr, e, t.e.Office.Date)
	switch field.Kind {
	case enrol.FormYes:
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.yes", "yes"), t.tap("desk.no", "no")})
	case enrol.FormChoice:
		for n, c := range field.Choices {
			m.Inline = append(m.Inline, []message.Button{t.tap(field.ChoiceKey(c), "o"+strconv.Itoa(n))})
		}
	case enrol.FormMarks:
		for _, c := range field.Choices {
			m.Lines = append(m.Lines, message.Say("enrol.mark", message.ArgK("mark", field.ChoiceKey(c))))
		}
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.all", "all")})
	case enrol.FormLang:
		for _, l := range t.langs(usual) {
			m.Inline = append(m.Inline, []message.Button{t.tap("desk.lang."+l, l)})
		}
	case enrol.FormText:
		if key == templateKey {
			for n := range min(len(t.pr.Templates), 8) {
				m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.template",
					message.ArgS("name", t.pr.Templates[n].Name)), "t"+strconv.Itoa(n))})
			}
			break
		}
		fallthrough
	default:
		if usual != "" {
			m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.default", message.ArgS("value", usual)),
				"d")})
		}
	}
	if key == startKey {
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.edge", edgeArg)})
	}
	if field.Kind == enrol.FormSetting && usual != "" {
		if n, p := enrol.ReadSetting(e, key, usual, 0, 200); p == nil {
			m.Lines = append(m.Lines, message.Say("enrol.offer", settingArgs(e, n)...))
		}
	}
	m.Inline = append(m.Inline, last)
	t.send(m)
}

// langs are the practice's languages, the usual one first.
func (t *turn) langs(usual string) []string {
	out := slices.Clone(t.pr.Langs)
	slices.SortStableFunc(out, func(a, b string) int { return bit(b == usual) - bit(a == usual) })
	return out
}

// kindName names how a blank is typed.
func kindName(f enrol.FormField) string {
	return [...]string{
		enrol.FormText: "text", enrol.FormLang: "lang", enrol.FormZone: "zone", enrol.FormPhone: "phone", enrol.FormYes: "yes", enrol.FormChoice: "choice",
		enrol.FormMarks: "marks", enrol.FormMM: "mm", enrol.FormWhole: "whole", enrol.FormTenths: "tenths", enrol.FormHours: "hours", enrol.FormClock: "clock",
		enrol.FormDate: "date", enrol.FormPlace: "place", enrol.FormSetting: "setting", enrol.FormTravel: "travel", enrol.FormList: "list", enrol.FormScores: "scores",
	}[f.Kind]
}

// value puts what was typed for a blank into canonical form: yes and no in any
// language, a zone that the text names.
func (t *turn) value(f enrol.FormField, text string, s flows.Said) string {
	switch {
	case f.Kind == enrol.FormYes && s.Reading.Word == reading.WordYes:
		return "yes"
	case f.Kind == enrol.FormYes && s.Reading.Word == reading.WordNo:
		return "no"
	case f.Kind == enrol.FormText || f.Kind == enrol.FormList || f.Kind == enrol.FormScores || f.Kind == enrol.FormZone:
		return text // a person's own words
	case len(s.Pairs) == 1 && s.Pairs[0].Key == "" && s.Pairs[0].Value != "":
		return s.Pairs[0].Value // words and digits of any language, already canonical
	}
	return text
}

// choiceArg turns the button of a choice into what would be typed.
func choiceArg(f enrol.FormField, arg string) (string, bool) {
	n, err := strconv.Atoi(strings.TrimPrefix(arg, "o"))
	if f.Kind != enrol.FormChoice || !strings.HasPrefix(arg, "o") || err != nil || n < 0 || n >= len(f.Choices) {
		return "", false
	}
	return f.Choices[n], true
}

// fieldSaid takes an answer for one blank of a small form.
func (t *turn) fieldSaid(key, text string) bool {
	fields := enrol.FormFields()
	i := enrol.FormIndex(fields, key)
	if text == "d" {
		text = fields[i].DefaultFor(t.pr, &t.c.Form.Filled.Enrolment, t.e.Office.Date)
	}
	if ps := t.c.Form.Filled.Put(fields, i, text); len(ps) > 0 {
		t.problems(ps)
		return false
	}
	return true
}

// pairsOf gives the lines of a pasted text: with words already canonical where
// the intake read them, else by the table's own keys.
func pairsOf(s flows.Said) []enrol.Pair {
	if len(s.Pairs) > 0 {
		return s.Pairs
	}
	return enrol.ReadPairs(s.Text)
}
