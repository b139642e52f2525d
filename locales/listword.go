package locales

import (
	"strings"

	"duskdawn/flows/message"
	"duskdawn/locales/fold"
)

// listHead begins the keys that hold the words of a list, separated by commas.
const listHead = "desk.word."

// findKey names the words that say that something is looked for.
const findKey = "desk.find.words"

// Find gives what a text of the desk looks for, where it begins with a word that says
// so, in any language: the rest, as typed.
func (w *Words) Find(text string) string {
	first, rest, more := strings.Cut(strings.TrimPrefix(strings.TrimSpace(text), "/"), " ")
	if !more {
		return ""
	}
	want := string(fold.Text(nil, first))
	for _, lang := range w.langs {
		for word := range strings.SplitSeq(w.Text(lang, message.Message{Lines: []message.Line{message.Say(findKey)}}), ",") {
			if string(fold.Text(nil, strings.TrimSpace(word))) == want {
				return strings.TrimSpace(rest)
			}
		}
	}
	return ""
}

// List gives the list of patients, or the digest, that a text of staff names, in
// any language; empty for none. Patients are never read so.
func (w *Words) List(text string) string {
	want := string(fold.Text(nil, strings.TrimPrefix(strings.TrimSpace(text), "/")))
	if want == "" {
		return ""
	}
	for _, lang := range w.langs {
		for key := range w.tongues[lang].keys {
			name, is := strings.CutPrefix(key, listHead)
			if !is {
				continue
			}
			for word := range strings.SplitSeq(w.Text(lang, message.Message{Lines: []message.Line{message.Say(key)}}), ",") {
				if string(fold.Text(nil, strings.TrimSpace(word))) == want {
					return name
				}
			}
		}
	}
	return ""
}
