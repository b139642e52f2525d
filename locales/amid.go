package locales

import (
	"slices"
	"strings"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// Answers beside a danger dilute it: "guide 5 min, bite ok, snore 1 and I passed out". A text that answers questions is heard once
// more in its clauses, each by itself, and what one of them surely says is asked about.

// amid adds the emergencies that a clause of a text with answers surely says by itself. Where one may be said, the text is no small talk.
func (w *Words) amid(text string, r *reading.Reading) {
	answers := slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Value.Known() })
	if !answers || r.Word != reading.NoWord || (r.Sure|r.Unsure).Of('E') != 0 {
		return
	}
	var buf [256]byte
	for _, clause := range w.dict.pieces(text) {
		h := w.nets.Dangers.Hear(fold.Text(buf[:0], clause))
		if sure, perhaps := w.nets.Dangers.Judge(&h, 0); (sure|perhaps).Of('E') == overdose && w.dict.aDose(fold.Text(nil, text), r.Lang) {
			continue
		} else if h.Class('E') >= alone {
			r.Unsure, r.Calm = r.Unsure|(sure|perhaps).Of('E')&^r.Sure, false
		} else if h.Class('E')+h.Class('S') >= uneasy {
			r.Calm = false
		}
	}
}

// How likely a clause must be an emergency to be asked about as one, and an emergency or of the same day for the safety question to follow:
// seven in a hundred diary texts by strangers.
const (
	alone  = 0.87
	uneasy = 0.3
)

// pieces cuts a text into its clauses: at marks, behind words that join, and before a word of one's own that nothing leads to.
func (d *dictionary) pieces(text string) (all []string) {
	for _, part := range strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(",;:.!?\n", c) }) {
		words := strings.Fields(part)
		from := 0
		for i, w := range words {
			switch w = bareWord(w); {
			case d.joins[w]:
				all = append(all, strings.Join(words[from:i], " "))
				from = i + 1
			case i > from && d.begins[w] && !d.leads[bareWord(words[i-1])] && !d.begins[bareWord(words[i-1])]:
				all = append(all, strings.Join(words[from:i], " "))
				from = i
			}
		}
		all = append(all, strings.Join(words[from:], " "))
	}
	return all
}
