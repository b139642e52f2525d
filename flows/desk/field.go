package desk

import (
	"strconv"
	"strings"

	"duskdawn/flows"
)

// putField asks for one blank of the table: its question, why it matters where
// it has bounds, its default one tap away, its choices as buttons.
func (t *turn) putField(key string, last []flows.Button) {
	f := &t.c.Form
	fields := flows.FormFields()
	i := flows.FormIndex(fields, key)
	if i < 0 {
		return
	}
	field := fields[i]
	e := &f.Filled.Enrolment
	m := flows.Message{Lines: []flows.Line{flows.Say("enrol.ask", flows.ArgK("field", "enrol.f."+key), flows.ArgK("how", "enrol.how."+kindName(field)))}}
	usual := field.DefaultFor(t.pr, e, t.e.Office.Date)
	switch field.Kind {
	case flows.FormYes:
		m.Inline = append(m.Inline, []flows.Button{t.tap("desk.yes", "yes"), t.tap("desk.no", "no")})
	case flows.FormChoice:
		for n, c := range field.Choices {
			m.Inline = append(m.Inline, []flows.Button{t.tap(field.ChoiceKey(c), "o"+strconv.Itoa(n))})
		}
	case flows.FormMarks:
		for _, c := range field.Choices {
			m.Lines = append(m.Lines, flows.Say("enrol.mark", flows.ArgK("mark", field.ChoiceKey(c))))
		}
		m.Inline = append(m.Inline, []flows.Button{t.tap("desk.b.all", "all")})
	case flows.FormLang:
		for _, l := range t.pr.Langs {
			m.Inline = append(m.Inline, []flows.Button{t.tap("desk.lang."+l, l)})
		}
	default:
		if usual != "" {
			m.Inline = append(m.Inline, []flows.Button{t.tapLine(flows.Say("desk.b.default", flows.ArgS("value", usual)), "d")})
		}
	}
	if field.Kind == flows.FormSetting && usual != "" {
		if n, p := flows.ReadSetting(e, key, usual, 0, 200); p == nil {
			m.Lines = append(m.Lines, flows.Say("enrol.offer", settingArgs(e, n)...))
		}
	}
	m.Inline = append(m.Inline, last)
	t.send(m)
}

// kindName names how a blank is typed.
func kindName(f flows.FormField) string {
	return [...]string{
		flows.FormText: "text", flows.FormLang: "lang", flows.FormZone: "zone", flows.FormPhone: "phone", flows.FormYes: "yes", flows.FormChoice: "choice",
		flows.FormMarks: "marks", flows.FormMM: "mm", flows.FormWhole: "whole", flows.FormTenths: "tenths", flows.FormHours: "hours", flows.FormClock: "clock",
		flows.FormDate: "date", flows.FormPlace: "place", flows.FormSetting: "setting", flows.FormTravel: "travel", flows.FormList: "list", flows.FormScores: "scores",
	}[f.Kind]
}

// value puts what was typed for a blank into canonical form: yes and no in any
// language, a zone that the text names.
func (t *turn) value(f flows.FormField, text string, s flows.Said) string {
	switch {
	case f.Kind == flows.FormYes && s.Reading.Word == flows.WordYes:
		return "yes"
	case f.Kind == flows.FormYes && s.Reading.Word == flows.WordNo:
		return "no"
	case f.Kind == flows.FormText || f.Kind == flows.FormList || f.Kind == flows.FormScores || f.Kind == flows.FormZone:
		return text // a person's own words
	case len(s.Pairs) == 1 && s.Pairs[0].Key == "" && s.Pairs[0].Value != "":
		return s.Pairs[0].Value // words and digits of any language, already canonical
	}
	return text
}

// choiceArg turns the button of a choice into what would be typed.
func choiceArg(f flows.FormField, arg string) (string, bool) {
	n, err := strconv.Atoi(strings.TrimPrefix(arg, "o"))
	if f.Kind != flows.FormChoice || !strings.HasPrefix(arg, "o") || err != nil || n < 0 || n >= len(f.Choices) {
		return "", false
	}
	return f.Choices[n], true
}

// fieldSaid takes an answer for one blank of a small form.
func (t *turn) fieldSaid(key, text string) bool {
	fields := flows.FormFields()
	i := flows.FormIndex(fields, key)
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
func pairsOf(s flows.Said) []flows.Pair {
	if len(s.Pairs) > 0 {
		return s.Pairs
	}
	return flows.ReadPairs(s.Text)
}
