package main

import (
	"bytes"
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"duskdawn/bot/basis"
	"duskdawn/flows/why"
	"duskdawn/locales"
)

// askCommand runs a command without surroundings.
func askCommand(t *testing.T, args ...string) (out string, code int) {
	t.Helper()
	var said, bad bytes.Buffer
	code = run(t.Context(), app{out: &said, err: &bad}, args)
	if code != 0 {
		return bad.String(), code
	}
	return said.String(), 0
}

// Every why is told in every language, in words of that language, and no
// number stands without a mark of where it comes from.
func TestWhyInEveryLanguage(t *testing.T) {
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	mark := regexp.MustCompile(`(?m)^- .*\[[^\[\]]+\]$`)
	rules, reds, blanks, figures := why.WhyKinds()
	for _, lang := range words.Languages() {
		for _, id := range slices.Concat(rules, reds, blanks, figures) {
			lines, _ := why.Why(id)
			var text strings.Builder
			for _, l := range lines {
				before := words.Misses()
				line := words.Line(lang, l)
				if words.Misses() > before {
					t.Errorf("%s, %s: %s has no text with %v", lang, id, l.Key, l.Args)
				}
				if strings.HasPrefix(l.Key, "why.claim") && !mark.MatchString(line) {
					t.Errorf("%s, %s: a claim without a mark: %q", lang, id, line)
				}
				text.WriteString(line + "\n")
			}
			if !mark.MatchString(text.String()) {
				t.Errorf("%s, %s: no source and no mark of its lack:\n%s", lang, id, &text)
			}
		}
	}
	if n := words.Misses(); n != 0 {
		t.Errorf("%d texts were missing", n)
	}
}

func TestWhyCommand(t *testing.T) {
	for _, c := range []struct {
		args []string
		says []string
	}{
		{[]string{"why"}, []string{"P01, P02", "pain.severe", "step-mm"}},
		{[]string{"why", "P07"}, []string{"P07: sore, gone back", "Pain 5 to 7", "doi 10.2147/JPR.S75192", "common practice, no source", "clinician"}},
		{[]string{"why", "p15", "-lang", "es"}, []string{"(pace-mm)", "doi 10.1378/chest.125.5.1761", "práctica común, sin fuente"}},
		{[]string{"why", "-lang", "es", "pain.severe"}, []string{"doi 10.2147/JPR.S75192"}},
		{[]string{"why", "step-mm"}, []string{"0.1 mm to 1 mm", "from memory", "doi 10.15331/jdsm.3738"}},
		{[]string{"why", "choking"}, []string{"[from memory]"}},
		{[]string{"why", "minutes-emergency"}, []string{"within 15 min", "1 min to 1 h", "minutes-emergency", "common practice, no source"}},
		{[]string{"why", "bite-away", "-lang", "es"}, []string{"más de 1 h", "Fijo", "práctica común, sin fuente"}},
		{[]string{"why", "alleviation"}, []string{"from memory", "Thorax 2013;68:91-6"}},
		{[]string{"why", "P08"}, []string{"more than 1 h"}},
		{[]string{"why", "interval"}, []string{"Default: 3; 7 where a step is 0.5 mm or more", "2 to 14"}},
	} {
		out, code := askCommand(t, c.args...)
		if code != 0 {
			t.Errorf("%v: %d: %s", c.args, code, out)
		}
		for _, s := range c.says {
			if !strings.Contains(out, s) {
				t.Errorf("%v does not say %q:\n%s", c.args, s, out)
			}
		}
	}
	for _, c := range []struct {
		args []string
		code int
	}{{[]string{"why", "P99"}, 1}, {[]string{"why", "P07", "P08"}, 2}, {[]string{"why", "-lang", "xx", "P07"}, 1},
		{[]string{"why", "-no"}, 2}} {
		if out, code := askCommand(t, c.args...); code != c.code || out == "" {
			t.Errorf("%v: %d: %s", c.args, code, out)
		}
	}
}

// A name that is not there is answered with those near it.
func TestWhyOfAnUnknownName(t *testing.T) {
	for lang, says := range map[string][]string{"en": {"P99", "P09", "Did you mean"},
		"es": {"P99", "P09", "¿Quiso decir"}} {
		out, code := askCommand(t, "why", "P99", "-lang", lang)
		for _, s := range says {
			if code != 1 || !strings.Contains(out, s) {
				t.Errorf("%s: %d: no %q in %s", lang, code, s, out)
			}
		}
	}
}

func TestHazardsCommand(t *testing.T) {
	log, err := basis.Hazards()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range []string{"en", "es"} {
		for _, format := range []string{"table", "markdown", "csv"} {
			out, code := askCommand(t, "hazards", "-format", format, "-lang", lang)
			if code != 0 {
				t.Fatal(out)
			}
			for _, h := range log {
				if !strings.Contains(out, h.ID) || !strings.Contains(out, h.Words[lang].Name) {
					t.Errorf("%s, %s: no %s", format, lang, h.ID)
				}
				for _, c := range h.Controls {
					if format != "table" && !strings.Contains(out, c.Words[lang]) {
						t.Errorf("%s, %s: no control %q", h.ID, lang, c.Words[lang])
					}
				}
			}
			if strings.Contains(out, "hazard.") {
				t.Errorf("%s, %s: a key without words", format, lang)
			}
			if format != "table" { // cause, hazard, harm, risks, controls, what is left, review, tests
				h := log[len(log)-1]
				one, at := out[strings.Index(out, h.ID):], 0
				for _, part := range []string{h.Words[lang].Cause, h.Words[lang].Name, h.Words[lang].Effect, h.Words[lang].Harm, " 5",
					h.Controls[0].Words[lang], " 5,", h.Review, h.Controls[0].Tests[0].String()} {
					next := strings.Index(one[at:], part)
					if next < 0 {
						t.Fatalf("%s, %s: %q is not where it belongs in\n%s", format, lang, part, one)
					}
					at += next + len(part)
				}
			}
			if !strings.Contains(out, "DCB0129") {
				t.Errorf("%s, %s: the matrix has no name", format, lang)
			}
		}
	}
	out, code := askCommand(t, "hazards", "-format", "json")
	var rows []struct {
		ID, Status, Matrix string
		Controls           []struct{ Tests []string }
	}
	if err := json.Unmarshal([]byte(out), &rows); code != 0 || err != nil || len(rows) != len(log) ||
		rows[0].Status == "" || !strings.Contains(rows[0].Matrix, "DCB0129") || len(rows[0].Controls[0].Tests) == 0 {
		t.Errorf("%d, %v: %d rows", code, err, len(rows))
	}
	if _, code := askCommand(t, "hazards", "-format", "xml"); code != 2 {
		t.Error("a format that is not there")
	}
}
