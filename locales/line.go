package locales

import (
	"strings"
	"unicode/utf8"

	"duskdawn/flows/message"

	"github.com/nicksnyder/go-i18n/v2/i18n"
)

// MaxText is the longest text the chat platform takes, in UTF-16 code units.
const MaxText = 4096

// countArg names the argument that chooses the plural form.
const countArg = "count"

// Line puts one line into words. It always gives a text: where the language
// has none, the practice's default language speaks, then a fixed safe text.
func (w *Words) Line(lang string, l message.Line) string {
	return w.line(lang, l, 0)
}

// Text puts a message into words: its lines and then the given ones, a
// paragraph each, cut to what the platform takes.
func (w *Words) Text(lang string, m message.Message, more ...message.Line) string {
	var b strings.Builder
	for i, l := range m.Lines {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(w.Line(lang, l))
	}
	for _, l := range more {
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(w.Line(lang, l))
	}
	return Cut(b.String(), MaxText)
}

// line is Line; depth counts keys within keys, so that a catalogue that names
// itself ends.
func (w *Words) line(lang string, l message.Line, depth int) string {
	if lang == KeyLang {
		return keyLine(l)
	}
	if t := w.tongues[lang]; t != nil {
		if s, ok := w.localize(t, l, depth); ok {
			return s
		}
	}
	w.misses.Add(1)
	if t := w.tongues[w.fallback]; t != nil && lang != w.fallback {
		if s, ok := w.localize(t, l, depth); ok {
			return s
		}
	}
	for _, known := range []string{lang, w.fallback, Source} {
		if t := w.tongues[known]; t != nil {
			if s, ok := w.localize(t, message.Line{Key: SafeKey}, depth); ok {
				return s
			}
		}
	}
	return l.Key
}

// localize puts a line into words of one language; false where it has none,
// or where the values do not fit the text.
func (w *Words) localize(t *tongue, l message.Line, depth int) (string, bool) {
	if !t.keys[l.Key] || depth > 4 {
		return "", false
	}
	c := i18n.LocalizeConfig{MessageID: l.Key, TemplateParser: w.parser}
	if len(l.Args) > 0 {
		data := make(map[string]any, len(l.Args))
		for _, a := range l.Args {
			data[a.Name] = w.value(t, a, depth)
			if a.Name == countArg {
				c.PluralCount = pluralCount(a)
			}
		}
		c.TemplateData = data
	}
	s, err := t.loc.Localize(&c)
	if s == "" {
		return "", false
	}
	if err != nil { // a plural form is missing, and the general one stands in
		w.misses.Add(1)
	}
	if t.lang == PseudoLang && depth == 0 {
		s = pseudo(s)
	}
	return s, true
}

// Cut shortens a text to at most n UTF-16 code units, at the last line or word
// that fits, and marks the cut with an ellipsis.
func Cut(s string, n int) string {
	if len(s) <= n { // a UTF-16 unit takes at least a byte of UTF-8
		return s
	}
	units, end := 0, 0
	for i, r := range s {
		size := 1
		if r > 0xFFFF {
			size = 2
		}
		if units+size > n {
			s = s[:end]
			if at := strings.LastIndexAny(s, " \n"); at > len(s)/2 {
				s = s[:at]
			}
			return strings.TrimRight(s, " \n") + "…"
		}
		units += size
		if units < n { // room for the ellipsis
			end = i + utf8.RuneLen(r)
			if r == utf8.RuneError {
				end = i + 1
			}
		}
	}
	return s
}

// Units counts UTF-16 code units, as the platform counts lengths.
func Units(s string) int {
	n := 0
	for _, r := range s {
		n++
		if r > 0xFFFF {
			n++
		}
	}
	return n
}
