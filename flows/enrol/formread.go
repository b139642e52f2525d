package enrol

import (
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// Read reads what was typed into a blank: strictly, one value and nothing
// else. Words of a language ("sí") are put into canonical form before, by
// package locales; here only the keys' own words are known.
func (f FormField) Read(text string) (Datum, *Problem) {
	text = clean(text)
	if text == "" {
		return Datum{}, f.bad("enrol.bad.empty")
	}
	d, ok := f.read(text)
	if !ok {
		return Datum{}, f.bad("enrol.bad."+f.form(), message.ArgS("said", reading.Clip(text, 40)))
	}
	if d.Unit == UnitOwn && f.Bounded() && (d.N < f.Min || d.N > f.Max) {
		return Datum{}, f.outside(d.N)
	}
	return d, nil
}

func (f FormField) read(text string) (Datum, bool) {
	switch f.Kind {
	case FormText, FormList, FormScores:
		return f.readText(text)
	case FormLang:
		return Datum{S: strings.ToLower(text)}, len(text) >= 2 && len(text) <= 8 &&
			only(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-")
	case FormZone:
		return Datum{S: text}, len(text) <= 40 && !strings.ContainsAny(text, " \t|")
	case FormPhone:
		digits := 0
		for _, r := range text {
			if r >= '0' && r <= '9' {
				digits++
			}
		}
		return Datum{S: text}, only(text, "+0123456789 -()./") && digits >= 3 && len(text) <= 30
	case FormYes:
		switch strings.ToLower(text) {
		case "yes", "true":
			return Datum{N: chart.Yes}, true
		case "no", "false":
			return Datum{N: chart.No}, true
		}
		return Datum{}, false
	case FormChoice:
		i := index(f.Choices, strings.ToLower(text))
		return Datum{N: int64(i + 1)}, i >= 0
	case FormMarks:
		return f.readMarks(strings.ToLower(text))
	case FormClock:
		c, ok := ParseClock(text)
		return Datum{N: int64(c)}, ok
	case FormDate:
		d, err := civil.ParseDate(text)
		return Datum{N: int64(d)}, err == nil
	case FormMM:
		n, ok := parseDecimal(unit(text, "mm"), 3)
		return Datum{N: n}, ok
	case FormWhole:
		n, ok := parseDecimal(text, 0)
		return Datum{N: n}, ok
	case FormTenths:
		n, ok := parseDecimal(text, 1)
		return Datum{N: n}, ok
	case FormHours:
		n, ok := parseDecimal(unit(text, "h"), 2)
		return Datum{N: n * 60 / 100}, ok && n*60%100 == 0
	}
	return f.readPlace(text)
}

// readPlace reads the kinds that take several units.
func (f FormField) readPlace(text string) (Datum, bool) {
	switch {
	case strings.HasSuffix(text, "%") && f.Kind != FormTravel:
		n, ok := parseDecimal(unit(text, "%"), 1)
		return Datum{Unit: UnitPercent, N: n}, ok
	case strings.HasSuffix(strings.ToLower(text), "mm") && f.Kind != FormPlace:
		n, ok := parseDecimal(unit(text, "mm"), 3)
		return Datum{Unit: UnitMM, N: n}, ok
	case f.Kind == FormPlace:
		n, ok := parseDecimal(unit(text, "mm"), 3)
		return Datum{N: n}, ok
	}
	n, ok := parseDecimal(text, 0)
	return Datum{N: n}, ok
}

func (f FormField) readText(text string) (Datum, bool) {
	switch f.Kind {
	case FormList:
		parts := splitTrim(text, "|")
		for _, p := range parts {
			if p == "" || reading.Runes(p) > 12 {
				return Datum{}, false
			}
		}
		return Datum{S: strings.Join(parts, "|")}, len(parts) <= int(f.Max)
	case FormScores:
		_, ok := parseScores(text)
		return Datum{S: text}, ok
	}
	return Datum{S: text}, f.Max == 0 || reading.Runes(text) <= int(f.Max)
}

func (f FormField) readMarks(text string) (Datum, bool) {
	if text == "all" {
		return Datum{N: 1<<len(f.Choices) - 1}, true
	}
	var d Datum
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '|' }) {
		i := index(f.Choices, w)
		if i < 0 {
			return Datum{}, false
		}
		d.N |= 1 << i
	}
	return d, true
}

// form names how the blank is written, for the refusal of what is not.
func (f FormField) form() string {
	return [...]string{
		FormText: "long", FormLang: "lang", FormZone: "zone", FormPhone: "phone", FormYes: "yes", FormChoice: "choice",
		FormMarks: "choice", FormMM: "mm", FormWhole: "whole", FormTenths: "tenths", FormHours: "hours", FormClock: "clock",
		FormDate: "date", FormPlace: "place", FormSetting: "setting", FormTravel: "travel", FormList: "list", FormScores: "scores",
	}[f.Kind]
}

func (f FormField) Bounded() bool {
	return (f.Min != 0 || f.Max != 0) && f.Kind != FormText && f.Kind != FormList
}

func (f FormField) bad(key string, args ...message.Arg) *Problem {
	if f.Kind == FormChoice || f.Kind == FormMarks {
		keys := make([]string, len(f.Choices))
		for i, c := range f.Choices {
			keys[i] = f.ChoiceKey(c)
		}
		args = append(args, message.Arg{Name: "choices", Kind: message.ArgList, S: strings.Join(keys, "|")})
	}
	if f.Kind == FormText || f.Kind == FormList {
		args = append(args, message.ArgN("most", int(f.Max)))
	}
	return &Problem{Field: f.Key, Key: key, Args: args}
}

// outside is the refusal of a value beyond a hard bound: it names both bounds
// and, by the blank's own key, why they stand.
func (f FormField) outside(n int64) *Problem {
	if f.Kind == FormYes {
		return f.bad("enrol.bad.must", message.ArgK("why", "enrol.why."+f.Key))
	}
	return f.bad("enrol.bad.bounds", f.Arg("said", n), f.Arg("least", f.Min), f.Arg("most", f.Max),
		message.ArgK("why", "enrol.why."+f.Key))
}

// Arg makes an argument of a value in what the blank's kind counts.
func (f FormField) Arg(name string, n int64) message.Arg {
	a := message.Arg{Name: name, N: n}
	switch f.Kind {
	case FormMM, FormPlace:
		a.Kind = message.ArgMM
	case FormTenths:
		a.Kind = message.ArgTenths
	case FormHours:
		a.Kind = message.ArgMinutes
	case FormClock:
		a.Kind = message.ArgClock
	case FormDate:
		a.Kind = message.ArgDate
	}
	return a
}

// ChoiceKey is the catalogue's key of one of the blank's choices.
func (f FormField) ChoiceKey(choice string) string { return "enrol.c." + f.Key + "." + choice }
