package flows

import (
	"slices"
	"strings"
)

// Why tells what the rule, red flag, blank or figure of an id is, its default and
// range, and what it rests on, for people who want to know before they sign.
// An id is written as the program shows it, in any case: "P07", "pain.severe",
// "step-mm". Everything is taken from the tables themselves.
func Why(id string) ([]Line, bool) {
	id = strings.ToLower(strings.TrimSpace(id))
	var out []Line
	for i := range pacingTable {
		if strings.ToLower(pacingTable[i].id.ID()) == id {
			out = append(out, whyRule(RuleRow(pacingTable[i].id))...)
		}
	}
	if row := flagRow(id); row != nil { // a flag and a blank may go by one word
		out = append(out, whyFlag(row)...)
	}
	if i := FormIndex(formFields[:], id); i >= 0 {
		out = append(out, whyField(&formFields[i])...)
	}
	if b, ok := FigureOf(id); ok {
		out = append(out, whyFigure(&b)...)
	}
	return out, len(out) > 0
}

// WhyKinds lists the ids that Why knows, by kind.
func WhyKinds() (rules, flags, fields, figures []string) {
	for i := range pacingTable {
		rules = append(rules, pacingTable[i].id.ID())
	}
	for i := range flagTable {
		flags = append(flags, flagTable[i].ID)
	}
	for i := range formFields {
		fields = append(fields, formFields[i].Key)
	}
	for i := range figureTable {
		figures = append(figures, figureTable[i].ID)
	}
	return rules, flags, fields, figures
}

// WhyList tells what can be asked: of a name that is not known, those near it
// first.
func WhyList(said string) []Line {
	rules, flags, fields, figures := WhyKinds()
	var out []Line
	if said != "" {
		out = append(out, Say("why.unknown", ArgS("said", clip(said, quoteRunes))))
		if near := whyNear(strings.ToLower(strings.TrimSpace(said)), slices.Concat(rules, flags, fields, figures)); len(near) > 0 {
			return append(out, Say("why.near", ArgS("ids", strings.Join(near, ", "))))
		}
	}
	out = append(out, Say("why.list"))
	for _, kind := range [...]struct {
		head string
		ids  []string
	}{{"why.list.rules", rules}, {"why.list.flags", flags}, {"why.list.fields", fields}, {"why.list.figures", figures}} {
		out = append(out, Say(kind.head), Say("why.list.ids", ArgS("ids", strings.Join(kind.ids, ", "))))
	}
	return out
}

// mostNear is how many names near an unknown one are offered.
const mostNear = 8

// whyNear finds names that hold the one that was said, or a word of it, or that
// differ from it by a letter.
func whyNear(said string, ids []string) (near []string) {
	words := strings.FieldsFunc(said, func(r rune) bool { return r == ' ' || r == '.' || r == '-' || r == '_' })
	for _, id := range ids {
		low := strings.ToLower(id)
		fits := oneOff(low, said)
		for _, w := range words {
			fits = fits || len(w) > 2 && strings.Contains(low, w)
		}
		if fits && len(near) < mostNear && !slices.Contains(near, id) {
			near = append(near, id)
		}
	}
	return near
}

// oneOff tells whether two words of one length differ in one place, or one has
// a letter more.
func oneOff(a, b string) bool {
	if len(a) < len(b) {
		a, b = b, a
	}
	if len(b) == 0 || len(a)-len(b) > 1 {
		return false
	}
	i := 0
	for i < len(b) && a[i] == b[i] {
		i++
	}
	if len(a) > len(b) {
		return a[i+1:] == b[i:]
	}
	return i < len(a) && a[i+1:] == b[i+1:]
}

func whyRule(r RuleText) []Line {
	out := []Line{Say(r.Name), Say(r.Desk)}
	if len(r.Fields) == 0 {
		out = append(out, Say("why.fixed"))
	}
	for _, key := range r.Fields {
		out = append(out, Say("why.set", ArgK("field", "enrol.f."+key), ArgS("key", key)))
		if i := FormIndex(formFields[:], key); i >= 0 {
			out = append(out, whyBounds(&formFields[i])...)
		}
	}
	for _, id := range r.Figures {
		if b, ok := FigureOf(id); ok {
			out = append(out, b.Line())
		}
	}
	return append(append(out, whyRole(r.Role)), whyBasis(r.Source)...)
}

// Line is what a figure says, with its number.
func (f *Figure) Line() Line {
	if f.Value.Name == "" {
		return Say("figure." + f.ID)
	}
	return Say("figure."+f.ID, f.Value)
}

func whyFigure(b *Figure) []Line {
	out := []Line{b.Line()}
	if b.Practice {
		least, most := b.Value, b.Value
		least.Name, most.Name, least.N, most.N = "least", "most", int64(b.Min), int64(b.Max)
		out = append(out, Say("why.practice", ArgS("key", b.ID)), Say("why.default", b.Value), Say("why.range", least, most))
	} else {
		out = append(out, Say("why.fixed"))
	}
	return append(out, whyBasis(b.Basis)...)
}

func whyFlag(r *Row) []Line {
	out := []Line{Say("flag." + r.ID + ".name"), Say("flag." + r.ID + ".desk"), Say("why.class." + strings.ToLower(string(r.Class)))}
	if r.Driver != NoClass {
		out = append(out, Say("why.driver"))
	}
	wear := [...]string{WearKeep: "keep", WearBack: "back", WearTonight: "tonight", WearOut: "out"}[r.Wear]
	out = append(out, Say("why.wear."+wear), Say("why.told"), Say(r.Caution, ArgK("number", "why.number"), ArgK("wear", "caution.wear.keep")), whyRole(r.Role))
	return append(out, whyBasis(r.Source)...)
}

func whyField(f *FormField) []Line {
	out := append([]Line{Say("enrol.f." + f.Key)}, whyBounds(f)...)
	return append(out, whyBasis(f.Basis)...)
}

func whyRole(r Role) Line {
	return Say("why.role", ArgK("role", [...]string{NoRole: "desk.role.none", Assistant: "desk.role.assistant", Clinician: "desk.role.clinician", Owner: "desk.role.owner"}[r]))
}

// whyBounds gives a blank's default and its bounds.
func whyBounds(f *FormField) []Line {
	out := []Line{whyDefault(f)}
	switch {
	case f.Kind == FormYes && f.Min == Yes:
		out = append(out, Say("why.range.must"))
	case f.Kind == FormYes:
	case f.Choices != nil:
		keys := make([]string, len(f.Choices))
		for i, c := range f.Choices {
			keys[i] = f.ChoiceKey(c)
		}
		out = append(out, Say("why.range.choices", Arg{Name: "choices", Kind: ArgList, S: strings.Join(keys, "|")}))
	case f.bounded():
		out = append(out, Say("why.range", f.Arg("least", f.Min), f.Arg("most", f.Max)))
	case f.Kind == FormText:
		out = append(out, Say("why.range.long", ArgN("most", int(f.Max))))
	}
	return out
}

// whyDefault tells what DefaultFor works out, and the fixed defaults as they are.
func whyDefault(f *FormField) Line {
	if d, err := f.Read(f.Default); f.Default != "" && err == nil {
		value := f.Arg("value", d.N)
		if f.Kind == FormYes {
			value = ArgK("value", "why.no")
			if d.N == Yes {
				value = ArgK("value", "why.yes")
			}
		}
		switch f.Key {
		case "interval":
			return Say("why.default.interval", value, ArgUM("step", BigStep))
		case "timetable":
			return Say("why.default.timetable", value)
		}
		return Say("why.default", value)
	}
	switch f.Key {
	case "language", "zone":
		return Say("why.default.practice")
	case "fitted":
		return Say("why.default.today")
	case "ends":
		return Say("why.default.plan", ArgN("n", PlanNights))
	case "ceiling":
		return Say("why.default.ceiling", ArgP("share", mostRange))
	case "timetable-top":
		return Say("why.default.top", ArgP("share", halfRange))
	}
	return Say("why.default.none")
}

// whyBasis gives the claims of a basis, each with the mark of its source.
func whyBasis(b Basis) []Line {
	out := []Line{Say("why.basis")}
	for _, c := range b.Claims() {
		out = append(out, c.Line())
	}
	return append(out, Say("why.caution"))
}
