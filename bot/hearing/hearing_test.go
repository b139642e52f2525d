package hearing

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"duskdawn/locales"
	"duskdawn/locales/sentence"
)

func words(t testing.TB) *locales.Words {
	t.Helper()
	w, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// TestShare holds Wilson's interval to the example of Newcombe, Statist. Med. 17:857 (1998), doi:10.1002/(SICI)
// 1097-0258(19980430)17:8<857::AID-SIM777>3.0.CO;2-E, table I, method 3: 81 of 263 is 0.2553 to 0.3662, 15 of 148 is
// 0.0624 to 0.1605, 0 of 20 is 0 to 0.1611.
func TestShare(t *testing.T) {
	for _, c := range []struct {
		k, n     int
		from, to float64
	}{{81, 263, 25.53, 36.62}, {15, 148, 6.24, 16.05}, {0, 20, 0, 16.11}} {
		s := share(c.k, c.n)
		if math.Abs(s.From-c.from) > 0.006 || math.Abs(s.To-c.to) > 0.006 {
			t.Errorf("%d of %d: %.3f to %.3f, want %.2f to %.2f", c.k, c.n, s.From, s.To, c.from, c.to)
		}
	}
	if s := share(0, 0); s.String() != "-" || s.To != 100 {
		t.Errorf("none of none: %v", s)
	}
}

// TestCompare says what is missing and what is wrong.
func TestCompare(t *testing.T) {
	for _, c := range []struct{ wanted, read, missing, wrong string }{
		{"pain=3", "pain=3", "", ""},
		{"pain=3", "pain=4", "pain=3", "pain=4"},
		{"none", "snore=2", "", "snore=2"},
		{"worn=part hours=4.5", "hours=4.5", "", ""},
		{"worn=no", "hours=4", "worn=no", "hours=4"},
		{"hours=4", "worn=part hours=4", "", ""},
		{"wed/worn=all thu/worn=no", "wed/worn=all", "thu/worn=no", ""},
		{"wed/worn=all", "worn=all", "wed/worn=all", "worn=all"},
		{"guidemin=10", "guide=yes guidemin=10", "", ""},
		{"bitemin=not", "bite=both", "bitemin=not", "bite=both"},
	} {
		wanted, err := (&sentence.Sentence{Expected: c.wanted}).Values()
		if err != nil {
			t.Fatal(err)
		}
		read, err := (&sentence.Sentence{Expected: c.read}).Values()
		if err != nil {
			t.Fatal(err)
		}
		say := func(vs []sentence.Value) string {
			var out []string
			for _, v := range vs {
				out = append(out, v.String())
			}
			return strings.Join(out, " ")
		}
		same := func(got []sentence.Value, want string) bool {
			values, err := (&sentence.Sentence{Expected: want}).Values()
			return err == nil && slices.Equal(got, values)
		}
		if _, missing, wrong := compare(wanted, read); !same(missing, c.missing) || !same(wrong, c.wrong) {
			t.Errorf("wanted %s, read %s: missing %q, wrong %q", c.wanted, c.read, say(missing), say(wrong))
		}
	}
}

// TestSentencesCanBeExpected reads what is to be written down for every sentence of both parts.
func TestSentencesCanBeExpected(t *testing.T) {
	for _, part := range []string{"work", "bars", "exam"} {
		all, err := sentence.Folder(os.DirFS("../../locales/testdata/sentences/" + part))
		if err != nil {
			t.Fatal(err)
		}
		for i := range all {
			if _, err := all[i].Values(); err != nil || all[i].Class != 'D' && all[i].Expected != "" {
				t.Errorf("%s/%s:%d: %v", part, all[i].File, all[i].Line, err)
			}
		}
	}
}

// TestMeasure counts a few sentences.
func TestMeasure(t *testing.T) {
	all, err := sentence.Read(strings.NewReader("E:breath\tI can't breathe\nH\tgood morning\nD\tpain 3, snore 2\tpain=3 snore=2\n" +
		"D\tpain 3\tpain=4\nD\tsore\tpain=2\nD\tthe garden is lovely\tworn=all\nQ\tpain 4?\n"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range all {
		all[i].File = "en.some.tsv"
	}
	report, err := Measure(words(t), all)
	if err != nil {
		t.Fatal(err)
	}
	r := report.Rates[0]
	if r.Lang != "en" || r.EHeard.Of != 1 || r.Full.N != 1 || r.Wrong.N != 1 || r.Asked.N != 1 || r.Not.N != 1 || r.Full.Of != 4 ||
		r.FalseSure.Of != 2 {
		t.Errorf("%+v", r)
	}
	var b strings.Builder
	if err := report.Print(&b); err != nil || !strings.Contains(b.String(), "diary: fully right") {
		t.Errorf("%v\n%s", err, b.String())
	}
}

// TestHear tells how one text is read.
func TestHear(t *testing.T) {
	h := Hear(words(t), "en", "pain 3, mon: snore 2, and my cousin sings", true)
	if h.Understood != "in part" || len(h.Answers) != 2 || h.Answers[1].Night != "mon" || !slices.Contains(h.Staff, "the words") {
		t.Errorf("%+v", h)
	}
	var b strings.Builder
	if err := h.Print(&b); err != nil || !strings.Contains(b.String(), "mon: ") {
		t.Errorf("%v\n%s", err, b.String())
	}
	for text, by := range map[string]string{"pain 3": "the label", "chewed on the guide while making coffee, 8 minutes": "claims", "pain 3, snore 2": "grammar and claims"} {
		if h := Hear(words(t), "en", text, true); !slices.ContainsFunc(h.Answers, func(a Answer) bool { return strings.HasPrefix(a.Why, "by "+by+";") }) {
			t.Errorf("%q: %+v", text, h.Answers)
		}
	}
	if h := Hear(words(t), "en", "zzz qqq", false); h.Understood != "not" || !slices.Contains(h.Asked, "the safety question") {
		t.Errorf("%+v", h)
	}
}

// A word that names a setting is told with it, and no text is told as one that is missing.
func TestHearAWord(t *testing.T) {
	w := words(t)
	for text, want := range map[string]string{"it stands at 3": "It stands at 3", "está en 3": "It stands at 3", "undo": "Undo"} {
		if h := Hear(w, "en", text, false); h.Word != want {
			t.Errorf("%q is the word %q, want %q", text, h.Word, want)
		}
	}
	if n := w.Misses(); n > 0 {
		t.Errorf("%d texts are missing", n)
	}
}
