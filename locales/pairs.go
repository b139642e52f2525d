package locales

import (
	"strings"

	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// blanks are the words of the enrolment form in every language: what a blank
// and its choices are called, by their canonical names.
type blanks struct {
	keys    map[string]string
	choices map[string]string
}

// learnBlanks takes the words from the catalogues.
func (w *Words) learnBlanks() {
	b := &blanks{keys: map[string]string{}, choices: map[string]string{}}
	for _, lang := range w.langs { // what a language is called in any of them
		for _, named := range w.langs {
			names := w.Line(lang, message.Line{Key: "desk.lang.names." + named})
			for name := range strings.SplitSeq(names, ",") {
				b.choices[folded(name)] = named
			}
		}
	}
	for _, f := range enrol.FormFields() {
		b.keys[folded(f.Key)] = f.Key
		for _, lang := range w.langs {
			if key := "enrol.f." + f.Key; w.tongues[lang].keys[key] {
				b.keys[folded(w.Line(lang, message.Line{Key: key}))] = f.Key
			}
			for _, c := range f.Choices {
				b.choices[c] = c
				if key := f.ChoiceKey(c); w.tongues[lang].keys[key] {
					b.choices[folded(w.Line(lang, message.Line{Key: key}))] = c
				}
			}
		}
	}
	w.blanks = b
}

// Pairs reads a text as lines of the enrolment form, "key: value" each, with
// the words of all languages put into canonical form: a blank's name, a
// choice, yes and no, digits of every script. "settle 7" needs no colon. A text of one
// line without a key is one pair without a key. What is not known comes back as it was typed.
func (w *Words) Pairs(text string) []enrol.Pair {
	pairs := enrol.ReadPairs(text)
	if len(pairs) == 1 && pairs[0].Value == "" && !strings.ContainsAny(text, ":=") {
		pairs[0] = enrol.Pair{Line: pairs[0].Line, Value: pairs[0].Key}
	}
	for i := range pairs {
		p := &pairs[i]
		if key, ok := w.blanks.keys[folded(p.Key)]; ok && p.Key != "" {
			p.Key = key
		} else {
			w.uncolon(p)
		}
		p.Value = w.canonical(p.Value)
	}
	return pairs
}

// uncolon parts the name of a blank from a number behind it: "settle 7", "evening 21:30".
func (w *Words) uncolon(p *enrol.Pair) {
	whole := strings.TrimLeft(p.Key+":"+p.Value, ":")
	at := strings.LastIndexByte(whole, ' ')
	if at < 0 || at+1 == len(whole) {
		return
	}
	if key, ok := w.blanks.keys[folded(whole[:at])]; ok && strings.ContainsRune("-0123456789", rune(whole[at+1])) {
		p.Key, p.Value = key, strings.TrimRight(whole[at+1:], ":")
	}
}

// canonical puts one value into canonical form.
func (w *Words) canonical(value string) string {
	if value == "" || len(value) > 120 {
		return value
	}
	if c, ok := w.blanks.choices[folded(value)]; ok {
		return c
	}
	switch w.Read(value).Word {
	case reading.WordYes:
		return "yes"
	case reading.WordNo:
		return "no"
	}
	var b strings.Builder
	for _, r := range value {
		if v, _, ok := fold.Digit(r); ok {
			r = rune('0' + v)
		}
		b.WriteRune(r)
	}
	return b.String()
}

func folded(s string) string { return string(trim(fold.Text(nil, s))) }
