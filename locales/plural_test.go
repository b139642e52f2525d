package locales

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
)

// categories reads testdata/plurals.txt: the plural category of numbers in
// several languages by another implementation of Unicode CLDR, named there.
func categories(t *testing.T) map[string]map[string][]string {
	t.Helper()
	buf, err := os.ReadFile("testdata/plurals.txt")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]map[string][]string{}
	for _, line := range strings.Split(string(buf), "\n") {
		f := strings.Fields(line)
		if len(f) != 3 || f[0] == "#" {
			continue
		}
		if out[f[0]] == nil {
			out[f[0]] = map[string][]string{}
		}
		out[f[0]][f[1]] = strings.Split(f[2], ",")
	}
	return out
}

// The plural rules of the library agree with Unicode CLDR 48 as another
// implementation has it (Unicode Technical Standard 35, part 3, "Language
// Plural Rules").
func TestPluralRules(t *testing.T) {
	checked := 0
	for lang, byCategory := range categories(t) {
		bundle := i18n.NewBundle(language.MustParse(lang))
		if err := bundle.AddMessages(language.MustParse(lang), &i18n.Message{ID: "n.n", Zero: "zero", One: "one", Two: "two",
			Few: "few", Many: "many", Other: "other"}); err != nil {
			t.Fatal(err)
		}
		loc := i18n.NewLocalizer(bundle, lang)
		for want, numbers := range byCategory {
			for _, n := range numbers {
				got, err := loc.Localize(&i18n.LocalizeConfig{MessageID: "n.n", PluralCount: n})
				if err != nil || got != want {
					t.Errorf("%s %s: %q, %v, want %q", lang, n, got, err, want)
				}
				checked++
			}
		}
	}
	if checked < 500 {
		t.Errorf("only %d numbers checked", checked)
	}
}

// Every text with a count has the forms its language tells apart, and no other.
func TestPluralFormsAreComplete(t *testing.T) {
	all := categories(t)
	for _, m := range catalogue(t) {
		byCategory, ok := all[m.lang]
		if !ok {
			t.Fatalf("no plural table for %s", m.lang)
		}
		counts := slices.Contains(m.names(), countArg)
		if !counts && len(m.forms) == 1 {
			continue
		}
		if !counts {
			t.Errorf("%s %q has plural forms and no {{.%s}}", m.lang, m.id, countArg)
		}
		for category, numbers := range byCategory {
			reached := slices.ContainsFunc(numbers, func(n string) bool {
				return len(n) <= len("100000") &&
					!strings.Contains(n, ".")
			})
			if reached && m.forms[category] == "" {
				t.Errorf("%s %q has no form %q (for %s)", m.lang, m.id, category, numbers[0])
			}
		}
		for form := range m.forms {
			if _, ok := byCategory[form]; !ok {
				t.Errorf("%s %q has a form %q that the language does not use", m.lang, m.id, form)
			}
		}
	}
}
