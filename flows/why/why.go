package why

import (
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/evidence"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// Why tells what the rule, red flag, blank or figure of an id is, its default and
// range, and what it rests on, for people who want to know before they sign.
// An id is written as the program shows it, in any case: "P07", "pain.severe",
// "step-mm". Everything is taken from the tables themselves.
func Why(id string) ([]message.Line, bool) {
	id = strings.ToLower(strings.TrimSpace(id))
	var out []message.Line
	if rule, ok := pacing.RuleNamed(strings.ToUpper(id)); ok {
		out = append(out, whyRule(rule)...)
	}
	if row := redflag.Find(id); row != nil { // a flag and a blank may go by one word
		out = append(out, whyFlag(row)...)
	}
	if i := enrol.FormIndex(enrol.Table[:], id); i >= 0 {
		out = append(out, whyField(&enrol.Table[i])...)
	}
	if i := strings.Index(classLetters, id); i >= 0 && len(id) == 1 {
		out = append(out, whyClass(id)...)
	}
	if b, ok := FigureOf(id); ok {
		out = append(out, whyFigure(&b)...)
	}
	return out, len(out) > 0
}

// WhyKinds lists the ids that Why knows, by kind.
func WhyKinds() (rules, flags, fields, figures []string) {
	for _, rule := range pacing.Rules() {
		rules = append(rules, rule.Rule.ID())
	}
	for _, row := range redflag.Rows() {
		flags = append(flags, row.ID)
	}
	for i := range enrol.Table {
		fields = append(fields, enrol.Table[i].Key)
	}
	for i := range figureTable {
		figures = append(figures, figureTable[i].ID)
	}
	return rules, flags, fields, figures
}

// WhyList tells what can be asked: of a name that is not known, those near it
// first.
func WhyList(said string) []message.Line {
	rules, flags, fields, figures := WhyKinds()
	var out []message.Line
	if said != "" {
		out = append(out, message.Say("why.unknown", message.ArgS("said", reading.Clip(said, pacing.QuoteRunes))))
		if near := whyNear(strings.ToLower(strings.TrimSpace(said)),
			slices.Concat(rules, flags, fields, figures)); len(near) > 0 {
			return append(out, message.Say("why.near", message.ArgS("ids", strings.Join(near, ", "))))
		}
	}
	out = append(out, message.Say("why.list"))
	for _, kind := range [...]struct {
		head string
		ids  []string
	}{{"why.list.rules", rules}, {"why.list.flags", flags}, {"why.list.fields", fields}, {"why.list.figures", figures}} {
		out = append(out, message.Say(kind.head), message.Say("why.list.ids",
			message.ArgS("ids", strings.Join(kind.ids, ", "))))
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

// oneOff reports whether two words of one length differ in one place, or one has
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

func whyRule(r pacing.RuleText) []message.Line {
	out := []message.Line{message.Say(r.Name), message.Say(r.Desk)}
	if len(r.Fields) == 0 {
		out = append(out, message.Say("why.fixed"))
	}
	for _, key := range r.Fields {
		out = append(out, message.Say("why.set", message.ArgK("field", "enrol.f."+key), message.ArgS("key", key)))
		if i := enrol.FormIndex(enrol.Table[:], key); i >= 0 {
			out = append(out, whyBounds(&enrol.Table[i])...)
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
func (f *Figure) Line() message.Line {
	if f.Value.Name == "" {
		return message.Say("figure." + f.ID)
	}
	return message.Say("figure."+f.ID, f.Value)
}

func whyFigure(b *Figure) []message.Line {
	out := []message.Line{b.Line()}
	if b.Practice {
		least, most := b.Value, b.Value
		least.Name, most.Name, least.N, most.N = "least", "most", int64(b.Min), int64(b.Max)
		out = append(out, message.Say("why.practice", message.ArgS("key", b.ID)), message.Say("why.default", b.Value),
			message.Say("why.range", least, most))
	} else {
		out = append(out, message.Say("why.fixed"))
	}
	return append(out, whyBasis(b.Basis)...)
}

func whyFlag(r *redflag.Row) []message.Line {
	out := []message.Line{message.Say("flag." + r.ID + ".name"), message.Say("flag." + r.ID + ".desk"),
		message.Say("why.class." + strings.ToLower(string(r.Class)))}
	if r.Driver != redflag.NoClass {
		out = append(out, message.Say("why.driver"))
	}
	wear := [...]string{redflag.WearKeep: "keep", redflag.WearBack: "back", redflag.WearTonight: "tonight",
		redflag.WearOut: "out"}[r.Wear]
	out = append(out, message.Say("why.wear."+wear), message.Say("why.told"),
		message.Say(r.Caution, message.ArgK("number", "why.number"), message.ArgK("wear", "caution.wear.keep"),
			message.ArgK("crisis", "crisis.local")),
		whyRole(r.Role))
	return append(out, whyBasis(r.Source)...)
}

func whyField(f *enrol.FormField) []message.Line {
	out := append([]message.Line{message.Say("enrol.f." + f.Key)}, whyBounds(f)...)
	return append(out, whyBasis(f.Basis)...)
}

// classLetters are the classes as a card writes them.
const classLetters = "esnr"

// classFigures are the deadlines of the classes, in their order.
var classFigures = [...]string{"minutes-emergency", "minutes-same-day", "deadline-next-day", "deadline-routine"}

// whyClass tells what a class means: by when somebody takes it, who hears of it and
// how often, and what the patient is promised.
func whyClass(letter string) []message.Line {
	out := []message.Line{message.Say("why.class." + letter)}
	b, _ := FigureOf(classFigures[strings.Index(classLetters, letter)])
	return append(append(out, b.Line(), message.Say("why.rings."+letter), message.Say("why.promise."+letter)), whyBasis(b.Basis)...)
}

func whyRole(r practice.Role) message.Line {
	return message.Say("why.role", message.ArgK("role", [...]string{practice.NoRole: "desk.role.none",
		practice.Assistant: "desk.role.assistant", practice.Clinician: "desk.role.clinician", practice.Owner: "desk.role.owner"}[r]))
}

// whyBounds gives a blank's default and its bounds.
func whyBounds(f *enrol.FormField) []message.Line {
	out := []message.Line{whyDefault(f)}
	switch {
	case f.Kind == enrol.FormYes && f.Min == chart.Yes:
		out = append(out, message.Say("why.range.must"))
	case f.Kind == enrol.FormYes:
	case f.Choices != nil:
		keys := make([]string, len(f.Choices))
		for i, c := range f.Choices {
			keys[i] = f.ChoiceKey(c)
		}
		out = append(out, message.Say("why.range.choices", message.Arg{Name: "choices", Kind: message.ArgList,
			S: strings.Join(keys, "|")}))
	case f.Bounded():
		out = append(out, message.Say("why.range", f.Arg("least", f.Min), f.Arg("most", f.Max)))
	case f.Kind == enrol.FormText:
		out = append(out, message.Say("why.range.long", message.ArgN("most", int(f.Max))))
	}
	return out
}

// whyDefault tells what DefaultFor works out, and the fixed defaults as they are.
func whyDefault(f *enrol.FormField) message.Line {
	if d, err := f.Read(f.Default); f.Default != "" && err == nil {
		value := f.Arg("value", d.N)
		if f.Kind == enrol.FormYes {
			value = message.ArgK("value", "why.no")
			if d.N == chart.Yes {
				value = message.ArgK("value", "why.yes")
			}
		}
		switch f.Key {
		case "interval":
			return message.Say("why.default.interval", value, message.ArgUM("step", enrol.BigStep))
		case "timetable":
			return message.Say("why.default.timetable", value)
		}
		return message.Say("why.default", value)
	}
	switch f.Key {
	case "language", "zone":
		return message.Say("why.default.practice")
	case "fitted":
		return message.Say("why.default.today")
	case "ends":
		return message.Say("why.default.plan", message.ArgN("n", enrol.PlanNights))
	case "ceiling":
		return message.Say("why.default.ceiling", message.ArgP("share", enrol.MostRange))
	case "timetable-top":
		return message.Say("why.default.top", message.ArgP("share", enrol.HalfRange))
	}
	return message.Say("why.default.none")
}

// whyBasis gives the claims of a basis, each with the mark of its source.
func whyBasis(b evidence.Basis) []message.Line {
	out := []message.Line{message.Say("why.basis")}
	for _, c := range b.Claims() {
		out = append(out, c.Line())
	}
	return append(out, message.Say("why.caution"))
}
