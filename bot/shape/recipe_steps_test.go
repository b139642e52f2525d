package shape

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

// The steps of each recipe, as somebody who follows it would take them.

// moonlight is a question by its recipe: two Go files, and three files a language.
// Nobody will ever ask it, so it never meets a question of ours.
func moonlight(langs []string) []step {
	steps := []step{
		{"flows/chart/field.go", "", "\tNumFields\n", "\tMoonlight // 0 to 10, over the last 7 days\n"},
		{"flows/chart/field.go", "", "})\n\n// Row is",
			"\tMoonlight: {Name: \"moonlight\", Column: \"moon_light\", Kind: Scale, About: Tonight},\n"},
		{"flows/checkin_question.go", "weeklyAsks = [...]question{\n", "", "\t\t{field: chart.Moonlight},\n"},
	}
	texts := map[string][4]string{
		"en": {"How much moonlight fell into your bedroom this week, from 0 to 10? 0 is none.", "moonlight", "Moonlight {{.n}}",
			`"moonlight", "light of the moon"`},
		"es": {"¿Cuánta luz de luna entró en su dormitorio, de 0 a 10? 0 es nada.", "luz de luna", "Luz de luna {{.n}}",
			`"luz de luna", "claro de luna"`},
	}
	for _, lang := range langs {
		text, ok := texts[lang]
		if !ok {
			text = texts["en"]
		}
		in := func(topic string) string { return "locales/" + topic + "." + lang + ".toml" }
		steps = append(steps,
			step{in("checkin"), "", `"ask.wrong" =`, `"ask.moonlight" = "` + text[0] + "\"\n"},
			step{in("label"), "", `"field.wrong" =`, `"field.moonlight" = "` + text[1] + "\"\n"},
			step{in("label"), "", `"label.wrong.0" =`, `"label.moonlight" = "` + text[2] + "\"\n"},
			step{in("read"), "[field]\n", "", "moonlight = [" + text[3] + "]\n"})
	}
	return steps
}

// shortNight is a rule by its recipe: one Go file, and one file a language.
func shortNight(langs []string) []step {
	const table = "flows/pacing/rules.go"
	steps := []step{
		{table, "", "\tnumRules =", "\tP20\n"},
		{table, "", "}\n\n// judge asks", "\tP20: {ask: p20, after: 2, role: practice.Assistant, source: \"table-design\"},\n"},
		{table, "", "// ReasonRestored is", `// P20: worn for less than five hours last night.
func p20(v assessment) result {
	if v.last == nil || !v.last.V[chart.WornMinutes].Known() || v.last.V[chart.WornMinutes].AtLeast(300) {
		return result{}
	}
	return v.stay("reason.p20")
}

`}}
	texts := map[string][3]string{
		"es": {"P20: noche corta", "Menos de cinco horas de uso. Pregunte qué acortó la noche.",
			"La última noche fue corta. Por eso no cambia nada."},
		"en": {"P20: a short night", "Worn for less than five hours. Please ask what ended the night.",
			"Last night was short. So nothing changes."},
	}
	for _, lang := range langs {
		text, ok := texts[lang]
		if !ok {
			text = texts["en"]
		}
		steps = append(steps, step{"locales/rule." + lang + ".toml", "", `"desk.reason.guard" =`,
			`"rule.P20.name" = "` + text[0] + "\"\n" + `"rule.P20.desk" = "` + text[1] + "\"\n" +
				`"reason.p20" = "` + text[2] + "\"\n"})
	}
	for i := range steps {
		steps[i].lines = asNext(steps[i].lines)
	}
	return steps
}

// asNext gives the rule of the recipe the number behind the last of today's.
func asNext(text string) string {
	table, err := os.ReadFile(filepath.Join(root, "flows/pacing/rules.go"))
	if err != nil {
		panic(err)
	}
	var last int
	for _, m := range regexp.MustCompile(`(?m)^\tP(\d\d)\b`).FindAllSubmatch(table, -1) {
		n, _ := strconv.Atoi(string(m[1]))
		last = max(last, n)
	}
	next := fmt.Sprintf("%02d", last+1)
	return strings.NewReplacer("P20", "P"+next, "p20", "p"+next).Replace(text)
}

// numbFever is a flag by its recipe: one Go file, and one file a language. It is
// raised by what is said, and by an answer.
func numbFever(langs []string) []step {
	steps := []step{{"flows/redflag/flagtable.go", "", "\t{ID: \"numb\",", `	{ID: "numb.fever", Class: ClassS, Wear: WearOut, Caution: "caution.numb.fever", Said: []reading.Features{reading.FNumb | reading.FFever}, Field: chart.GuideMinutes, Reached: least(90), Role: practice.Clinician, Source: proposal},
`}}
	texts := map[string][3]string{
		"es": {"Entumecimiento con fiebre", "Entumecimiento con fiebre, o la guía más de 90 minutos.",
			"No lo use y llame hoy mismo a su dentista."},
		"en": {"Numbness with fever", "Numbness with fever, or the guide for 90 minutes or more.",
			"Leave it out and call your dentist this very day."},
	}
	for _, lang := range langs {
		text, ok := texts[lang]
		if !ok {
			text = texts["en"]
		}
		steps = append(steps, step{"locales/flag." + lang + ".toml", "", `"flag.numb.name" =`,
			`"flag.numb.fever.name" = "` + text[0] + "\"\n" + `"flag.numb.fever.desk" = "` + text[1] + "\"\n" +
				`"caution.numb.fever" = "` + text[2] + "\"\n"})
	}
	return steps
}

// sayAgain is a staff command by its recipe: three Go files, and one file a language.
func sayAgain(langs []string) []step {
	const event, order, act = "flows/event_order.go", "flows/order.go", "flows/desk/act.go"
	steps := []step{
		{event, "", "\tNumOrders\n", "\tOrderAgain // tonight's setting is said once more\n"},
		{event, "", "}\n\n// String gives the order's", "\tOrderAgain: \"again\",\n"},
		{order, "", "}\n\n// order checks who asks", "\tOrderAgain: {practice.Assistant, false, false, (*turn).orderAgain},\n"},
		{order, "", "func (t *turn) orderCard(", `func (t *turn) orderAgain(o Order, who practice.Staff) {
	t.inform(t.tonight())
	t.ordered(o, who, "order.again")
}

`},
		{act, "", "\n\topCard ", "\topAgain = \"again\"\n"},
		{act, "", "}\n\nfunc always(", "\t{op: opAgain, order: flows.OrderAgain, role: practice.Assistant, when: running},\n"},
	}
	texts := map[string][2]string{
		"en": {"Say it again", "{{.label}}: tonight's setting was said again."},
		"es": {"Repetir la posición", "{{.label}}: se repitió la posición de esta noche."},
	}
	for _, lang := range langs {
		text, ok := texts[lang]
		if !ok {
			text = texts["en"]
		}
		desk := "locales/desk." + lang + ".toml"
		steps = append(steps, step{desk, "", `"desk.b.keep" =`, `"desk.b.again" = "` + text[0] + "\"\n"},
			step{desk, "", `"order.moved" =`, `"order.again" = "` + text[1] + "\"\n"})
	}
	return steps
}
