package shape

// The steps of each recipe, as somebody who follows it would take them.

// dryMouth is a question by its recipe: two Go files, and three files a language.
func dryMouth(langs []string) []step {
	steps := []step{
		{"flows/chart/field.go", "", "\tNumFields\n", "\tDryMouth // 0 to 10, over the last 7 days\n"},
		{"flows/chart/field.go", "", "})\n\n// Row is",
			"\tDryMouth: {Name: \"drymouth\", Column: \"dry_mouth\", Kind: Scale, About: Tonight},\n"},
		{"flows/checkin_question.go", "weeklyAsks = [...]question{\n", "", "\t\t{field: chart.DryMouth},\n"},
	}
	texts := map[string][4]string{
		"en": {"How dry was your mouth at night this week, from 0 to 10? 0 is not dry.", "dry mouth", "Dry mouth {{.n}}",
			`"dry mouth", "mouth dry"`},
		"es": {"¿Cómo de seca tuvo la boca por la noche, de 0 a 10? 0 es nada.", "boca seca", "Boca seca {{.n}}",
			`"boca seca", "sequedad de boca"`},
	}
	for _, lang := range langs {
		text, ok := texts[lang]
		if !ok {
			text = texts["en"]
		}
		in := func(topic string) string { return "locales/" + topic + "." + lang + ".toml" }
		steps = append(steps,
			step{in("checkin"), "", `"ask.wrong" =`, `"ask.drymouth" = "` + text[0] + "\"\n"},
			step{in("label"), "", `"field.wrong" =`, `"field.drymouth" = "` + text[1] + "\"\n"},
			step{in("label"), "", `"label.wrong.0" =`, `"label.drymouth" = "` + text[2] + "\"\n"},
			step{in("read"), "[field]\n", "", "drymouth = [" + text[3] + "]\n"})
	}
	return steps
}

// shortNight is a rule by its recipe: one Go file, and one file a language.
func shortNight(langs []string) []step {
	const table = "flows/pacing/rules.go"
	steps := []step{
		{table, "\tP19\n", "", "\tP20\n"},
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
	return steps
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
