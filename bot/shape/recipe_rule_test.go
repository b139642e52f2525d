package shape

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// shortNight is a rule by its recipe: one Go file, and one file a language.
func shortNight(langs []string) []step {
	const table = "flows/pacing/rules.go"
	steps := []step{
		{table, "\tP18\n", "", "\tP19\n"},
		{table, "", "}\n\n// judge asks", "\tP19: {ask: p19, after: 2, role: practice.Assistant, source: \"table-design\"},\n"},
		{table, "", "// ReasonRestored is", `// P19: worn for less than five hours last night.
func p19(v assessment) result {
	if v.last == nil || !v.last.V[chart.WornMinutes].Known() || v.last.V[chart.WornMinutes].AtLeast(300) {
		return result{}
	}
	return v.stay("reason.p19")
}

`}}
	texts := map[string][3]string{
		"es": {"P19: noche corta", "Menos de cinco horas de uso. Pregunte qué acortó la noche.",
			"La última noche fue corta. Por eso no cambia nada."},
		"en": {"P19: a short night", "Worn for less than five hours. Please ask what ended the night.",
			"Last night was short. So nothing changes."},
	}
	for _, lang := range langs {
		text, ok := texts[lang]
		if !ok {
			text = texts["en"]
		}
		steps = append(steps, step{"locales/rule." + lang + ".toml", "", `"desk.reason.guard" =`,
			`"rule.P19.name" = "` + text[0] + "\"\n" + `"rule.P19.desk" = "` + text[1] + "\"\n" +
				`"reason.p19" = "` + text[2] + "\"\n"})
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

// A rule and a flag are added by their recipes. The rule speaks, says why in
// every language, reaches a person, is counted, stored, run again and explained;
// the flag is raised by what is said and by an answer, cautions, holds the
// appliance out and reaches a person. The tests that hold every row to what
// follows from it hold these to it, too.
func TestRecipesOfARuleAndAFlag(t *testing.T) {
	if testing.Short() {
		t.Skip("a build")
	}
	paths, err := filepath.Glob(filepath.Join(root, "locales", "rule.*.toml"))
	if err != nil || len(paths) < 2 {
		t.Fatal("the catalogue was not found", err)
	}
	var langs []string
	for _, path := range paths {
		langs = append(langs, strings.Split(filepath.Base(path), ".")[1])
	}
	o := newOverlay(t)
	for _, steps := range [][]step{shortNight(langs), numbFever(langs)} {
		before := len(o.files)
		for _, s := range steps {
			o.insert(s)
		}
		if n := len(o.files) - before; n != 1+len(langs) {
			t.Errorf("%d files are touched, not one and one a language", n)
		}
	}
	added, err := os.ReadFile("testdata/table/added_test.go.txt")
	if err != nil {
		t.Fatal(err)
	}
	o.put("bot/talktest/added_test.go", string(added))
	out, err := o.test("^(TestAdded.*|TestRuleRows|TestFlagTable|TestReasons|TestWhy.*|TestCatalogueLanguagesAgree)$", "./bot/talktest", "./flows/pacing", "./flows/desk", "./flows/why", "./locales")
	if err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
