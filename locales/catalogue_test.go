package locales

import (
	"fmt"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"text/template"

	"github.com/BurntSushi/toml"
	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
)

// entry is one entry of a catalogue file.
type listed struct {
	file, lang, id string
	forms          map[string]string // by plural category; "other" always
}

// catalogue reads every message of every file, for tests.
func catalogue(t testing.TB) []listed {
	t.Helper()
	bundle := i18n.NewBundle(language.English)
	bundle.RegisterUnmarshalFunc("toml", toml.Unmarshal)
	names, err := catalogues()
	if err != nil {
		t.Fatal(err)
	}
	var out []listed
	for _, name := range names {
		buf, err := files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := bundle.ParseMessageFileBytes(buf, path.Base(name))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, m := range f.Messages {
			forms := map[string]string{}
			for k, v := range map[string]string{"zero": m.Zero, "one": m.One, "two": m.Two, "few": m.Few, "many": m.Many,
				"other": m.Other} {
				if v != "" {
					forms[k] = v
				}
			}
			out = append(out, listed{file: strings.Split(name, ".")[0], lang: f.Tag.String(), id: m.ID, forms: forms})
		}
	}
	return out
}

var placeholder = regexp.MustCompile(`\{\{\s*\.([a-z]+)\s*\}\}`)

// names gives the values a message asks for.
func (m listed) names() []string {
	set := map[string]bool{}
	for _, f := range m.forms {
		for _, p := range placeholder.FindAllStringSubmatch(f, -1) {
			set[p[1]] = true
		}
	}
	return slices.Sorted(maps.Keys(set))
}

// Every text parses, has words, asks for its values in the plainest way, and
// fits a message.
func TestCatalogueTexts(t *testing.T) {
	for _, m := range catalogue(t) {
		where := fmt.Sprintf("%s.%s %q", m.file, m.lang, m.id)
		if m.forms["other"] == "" {
			t.Errorf("%s has no text", where)
		}
		for form, text := range m.forms {
			if _, err := template.New("").Option("missingkey=error").Parse(text); err != nil {
				t.Errorf("%s: %v", where, err)
			}
			plain := placeholder.ReplaceAllString(text, "5")
			switch {
			case strings.Contains(plain, "{{"):
				t.Errorf("%s (%s): a value is written as {{.name}} and nothing else: %q", where, form, text)
			case strings.Contains(text, "<no value>"), strings.TrimSpace(text) == "" && m.id != "format.decimal":
				t.Errorf("%s (%s): %q", where, form, text)
			case strings.TrimSpace(text) != text && !strings.HasPrefix(m.id, "format."):
				t.Errorf("%s (%s): space at its ends: %q", where, form, text)
			case Units(plain) > 1024:
				t.Errorf("%s (%s): %d characters in one paragraph", where, form, Units(plain))
			}
			if r := emoji(text); r != 0 {
				t.Errorf("%s (%s): %q is a pictograph: screen readers spell it out", where, form, r)
			}
		}
		if shortKey(m.id) && Units(placeholder.ReplaceAllString(m.forms["other"], "5")) > 40 {
			t.Errorf("%s: longer than the 40 characters of a button: %q", where, m.forms["other"])
		}
	}
}

// shortKey reports whether a message stands on a button.
func shortKey(id string) bool {
	first, _, _ := strings.Cut(id, ".")
	return slices.Contains([]string{"label", "word", "topic", "button"}, first) || strings.Contains(id, ".button.")
}

// emoji gives the first pictograph of a text; 0 for none.
func emoji(s string) rune {
	for _, r := range s {
		if r >= 0x2600 && r < 0x2800 || r >= 0x2B00 && r < 0x2C00 || r >= 0x1F000 && r < 0x20000 || r == 0xFE0F ||
			r == 0x20E3 {
			return r
		}
	}
	return 0
}

// Every language has the same keys in the same files, with the same values.
func TestCatalogueLanguagesAgree(t *testing.T) {
	w := load(t)
	byID := map[string]map[string]listed{}
	for _, m := range catalogue(t) {
		if byID[m.id] == nil {
			byID[m.id] = map[string]listed{}
		}
		byID[m.id][m.lang] = m
	}
	for _, id := range slices.Sorted(maps.Keys(byID)) {
		src, ok := byID[id][Source]
		if !ok {
			t.Errorf("%q is not in %s", id, Source)
			continue
		}
		for _, lang := range w.Languages() {
			m, ok := byID[id][lang]
			switch {
			case !ok:
				t.Errorf("%q is not in %s", id, lang)
			case m.file != src.file:
				t.Errorf("%q stands in %s.%s and in %s.%s", id, src.file, Source, m.file, lang)
			case !slices.Equal(m.names(), src.names()):
				t.Errorf("%q asks for %v in %s and for %v in %s", id, src.names(), Source, m.names(), lang)
			}
		}
	}
}
