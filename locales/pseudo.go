package locales

import (
	"strings"

	"duskdawn/flows/civil"
	"duskdawn/flows/message"
)

// The test languages. Nobody can choose them; they are made from the source
// catalogue, never from files.
const (
	// PseudoLang is the source text with marked letters, 40 % longer, and
	// with isolated values: what it breaks, a translation would break.
	PseudoLang = "qps"
	// KeyLang shows keys and values instead of words: "ask.pain night=2026-11-03".
	KeyLang = "key"
)

// testLanguages adds the test languages.
func (w *Words) testLanguages() {
	src := w.tongues[Source]
	if src == nil {
		return
	}
	p := *src
	p.lang, p.isolates = PseudoLang, true
	w.tongues[PseudoLang] = &p
	k := *src
	k.lang = KeyLang
	w.tongues[KeyLang] = &k
}

// marked gives each vowel an accent, so that a text that lost its encoding shows.
var marked = strings.NewReplacer("a", "á", "e", "é", "i", "í", "o", "ó", "u", "ú",
	"A", "Á", "E", "É", "I", "Í", "O", "Ó", "U", "Ú")

// pseudo marks a text and makes it 40 % longer. The marks are no letters and
// the accents are ones that Read looks through, so a label still reads back.
func pseudo(s string) string {
	return "[" + marked.Replace(s) + strings.Repeat("·", (Units(s)*2+4)/5) + "]"
}

// keyLine writes a line as its key and values.
func keyLine(l message.Line) string {
	var b strings.Builder
	b.WriteString(l.Key)
	for _, a := range l.Args {
		b.WriteByte(' ')
		b.WriteString(a.Name)
		b.WriteByte('=')
		b.WriteString(keyValue(a))
	}
	return b.String()
}

func keyValue(a message.Arg) string {
	switch a.Kind {
	case message.ArgText:
		return `"` + Plain(a.S) + `"`
	case message.ArgKey:
		return a.S
	case message.ArgList:
		return strings.ReplaceAll(a.S, "|", ",")
	case message.ArgDate:
		return civil.Date(a.N).String()
	case message.ArgClock:
		return clock(a.N)
	case message.ArgMM:
		return fixed(a.N, 1000, ".") + "mm"
	case message.ArgPercent:
		return fixed(a.N, 10, ".") + "%"
	case message.ArgTenths:
		return fixed(a.N, 10, ".")
	case message.ArgMinutes:
		return fixed(a.N, 1, ".") + "min"
	}
	return fixed(a.N, 1, ".")
}
