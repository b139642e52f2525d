package locales

import (
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
)

// load builds the words.
func load(t testing.TB) *Words {
	t.Helper()
	w, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func TestValuesInWords(t *testing.T) {
	w := load(t)
	tuesday := civil.DateOf(2026, 11, 3)
	for _, c := range []struct {
		arg    message.Arg
		en, es string
	}{
		{message.ArgN("x", -1), "-1", "-1"},
		{message.ArgN("x", 12345), "12345", "12345"},
		{message.ArgD("x", tuesday), "Tue 3 Nov", "mar 3 nov"},
		{message.ArgC("x", 21*60+5), "21:05", "21:05"},
		{message.ArgC("x", 0), "00:00", "00:00"},
		{message.ArgUM("x", 4250), "4.25 mm", "4,25 mm"},
		{message.ArgUM("x", 4000), "4 mm", "4 mm"},
		{message.ArgUM("x", -50), "-0.05 mm", "-0,05 mm"},
		{message.ArgP("x", 531), "53.1 %", "53,1 %"},
		{message.ArgP("x", 500), "50 %", "50 %"},
		{message.Arg{Name: "x", Kind: message.ArgTenths, N: 125}, "12.5", "12,5"},
		{message.Arg{Name: "x", Kind: message.ArgMinutes, N: 450}, "7 h 30 min", "7 h 30 min"},
		{message.Arg{Name: "x", Kind: message.ArgMinutes, N: 420}, "7 h", "7 h"},
		{message.Arg{Name: "x", Kind: message.ArgMinutes, N: 5}, "5 min", "5 min"},
		{message.ArgK("x", "field.bite"), "bite", "mordida"},
		{message.Arg{Name: "x", Kind: message.ArgList, S: "field.pain"}, "pain", "dolor"},
		{message.Arg{Name: "x", Kind: message.ArgList, S: "field.pain|field.bite"}, "pain and bite", "dolor y mordida"},
		{message.Arg{Name: "x", Kind: message.ArgList, S: "field.pain|field.bite|field.nose"}, "pain, bite and nose", "dolor, mordida y nariz"},
		{message.ArgS("x", "  Chair 4 {{.n}}"), "  Chair 4 {{.n}}", "  Chair 4 {{.n}}"},
		{message.ArgS("x", "a\u202eb\nc\u200f"), "ab c", "ab c"},
		{message.ArgS("x", "שלום"), "\u2068שלום\u2069", "\u2068שלום\u2069"},
	} {
		if got := w.value(w.tongues["en"], c.arg, 0); got != c.en {
			t.Errorf("en %+v: got %q, want %q", c.arg, got, c.en)
		}
		if got := w.value(w.tongues["es"], c.arg, 0); got != c.es {
			t.Errorf("es %+v: got %q, want %q", c.arg, got, c.es)
		}
	}
	if n := w.Misses(); n != 0 {
		t.Errorf("%d texts were missing", n)
	}
}

// The Spanish "y" is "e" before the sound i, except before the glide "hie"
// (Real Academia Española, Diccionario panhispánico de dudas, "y"; from memory).
func TestSoftAnd(t *testing.T) {
	for s, want := range map[string]bool{"inglés": true, "Irán": true, "hilo": true, "hielo": false, "ión": true,
		"labio": false, "": false} {
		if got := beginsWithI(s); got != want {
			t.Errorf("%q: got %v, want %v", s, got, want)
		}
	}
}

func TestFallback(t *testing.T) {
	w := load(t)
	w.tongues["es"].keys["word.undo"] = false
	if got := w.Line("es", message.Say("word.undo")); got != "Undo" {
		t.Errorf("a key missing in one language: %q", got)
	}
	if got := w.Line("xx", message.Say("word.skip")); got != "Skip" {
		t.Errorf("an unknown language: %q", got)
	}
	if got := w.Default("es").Line("xx", message.Say("word.skip")); got != "Saltar" {
		t.Errorf("an unknown language with Spanish as the default: %q", got)
	}
	if got := w.Line("es", message.Say("no.such.key")); !strings.HasPrefix(got, "Hubo un error") {
		t.Errorf("a key missing everywhere: %q", got)
	}
	// A value that the text needs and does not get must never show as "<no value>".
	if got := w.Line("en", message.Say("label.pain")); !strings.HasPrefix(got, "Something went wrong") {
		t.Errorf("a missing value: %q", got)
	}
	if got := w.Misses(); got != 5 {
		t.Errorf("counted %d misses, want 5", got)
	}
}

func TestChoose(t *testing.T) {
	w := load(t)
	for code, want := range map[string]string{
		"en": "en", "en-GB": "en", "es-MX": "es", "es-419": "es", "ES": "es",
		"pt-BR": "", "uk": "", "ca": "", "gl": "", "": "", "nonsense code": "", "und": "", "qps": "", "key": "",
	} {
		got, ok := w.Choose(code)
		if got != want || ok != (want != "") {
			t.Errorf("%q: got %q, %v, want %q", code, got, ok, want)
		}
	}
	if got := w.Languages(); got[0] != "en" || len(got) < 2 {
		t.Errorf("languages: %v", got)
	}
	for lang, want := range map[string]bool{"en": true, "es": true, "qps": true, "key": true, "fr": false} {
		if w.Has(lang) != want {
			t.Errorf("Has(%q) is %v", lang, !want)
		}
	}
}

func TestTextJoinsAndCuts(t *testing.T) {
	w := load(t)
	m := message.Message{Lines: []message.Line{message.Say("word.undo"), message.Say("word.skip")}}
	if got := w.Text("en", m, message.Say("word.stop")); got != "Undo\nSkip\nStop" {
		t.Errorf("got %q", got)
	}
	if got := w.Text("en", message.Message{}); got != "" {
		t.Errorf("an empty message: %q", got)
	}
	for i := 0; i < 2000; i++ {
		m.Lines = append(m.Lines, message.Say("word.undo"))
	}
	got := w.Text("en", m)
	if n := Units(got); n > MaxText || n < MaxText-20 || !strings.HasSuffix(got, "Undo…") {
		t.Errorf("cut to %d units, ending %q", n, got[len(got)-12:])
	}
}

func TestCut(t *testing.T) {
	for _, c := range []struct {
		s    string
		n    int
		want string
	}{
		{"abc", 3, "abc"}, {"abcd", 3, "ab…"}, {"", 3, ""}, {"😀😀", 4, "😀😀"}, {"😀😀", 3, "😀…"},
		{"ééé", 3, "ééé"}, {"one two three", 10, "one two…"}, {"a\xffb", 3, "a\xffb"}, {"\xff\xff\xff\xff", 3, "\xff\xff…"},
	} {
		if got := Cut(c.s, c.n); got != c.want {
			t.Errorf("Cut(%q, %d) is %q, want %q", c.s, c.n, got, c.want)
		}
	}
}

func TestTestLanguages(t *testing.T) {
	w := load(t)
	l := message.Say("word.stands", message.ArgN("n", 5))
	if got := w.Line(KeyLang, l); got != "word.stands n=5" {
		t.Errorf("key: %q", got)
	}
	if got := w.Line(PseudoLang, l); got != "[Ít stánds át 5······]" {
		t.Errorf("pseudo: %q", got)
	}
	if got := w.Label(KeyLang, message.Choice{Field: chart.Pain, Value: chart.Num(3)}); got != "Pain 3" {
		t.Errorf("a label in the key language: %q", got)
	}
}

func BenchmarkLine(b *testing.B) {
	w := load(b)
	l := message.Say("word.stands", message.ArgN("n", 5))
	b.ReportAllocs()
	for b.Loop() {
		w.Line("es", l)
	}
}

func TestUnits(t *testing.T) {
	for _, s := range []string{"", "abc", "äöü", "🦷", "a🦷b", "e\u0301", "\xff", "👩‍⚕️"} {
		if got, want := Units(s), len(utf16.Encode([]rune(s))); got != want {
			t.Errorf("%q: %d, not %d", s, got, want)
		}
	}
}

// A date of another year than today's is written with it.
func TestYear(t *testing.T) {
	w := load(t)
	l := message.Say("picture.day", message.ArgD("date", civil.DateOf(2027, time.March, 10)))
	for year, want := range map[int]string{2027: "Wed 10 Mar", 2026: "Wed 10 Mar 2027"} {
		if got := Plain(w.On(time.Date(year, time.March, 2, 9, 0, 0, 0, time.UTC)).Line("en", l)); got != want {
			t.Errorf("in %d: %q", year, got)
		}
	}
	if got := Plain(w.On(time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)).Line("es", l)); got != "mié 10 mar 2027" {
		t.Errorf("%q", got)
	}
}
