package locales

import (
	"strings"

	"duskdawn/flows/message"
	"duskdawn/locales/fold"
)

// listHead begins the keys that hold the words of a list, separated by commas.
const listHead = "desk.word."

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
