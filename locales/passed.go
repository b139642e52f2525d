package locales

import (
	"strings"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// A danger that is told along with its end ("my throat closed for a moment, but it has passed") is drowned by the good news. So what
// stands beside a clause which says no more than that something is over is read once more by itself.

// passed adds what is said beside a clause that says that something is over, to be asked about; where that is no danger, the text says it is over.
func (w *Words) passed(text string, r *reading.Reading) {
	if r.Word != reading.NoWord || r.Code != "" || r.Why != "" {
		return
	}
	var rest []string
	over := false
	for _, clause := range w.dict.joined(text) {
		switch w.dict.whole[string(fold.Text(nil, clause))] {
		case reading.WordNotNow, reading.WordOver:
			over = true
		default:
			rest = append(rest, clause)
		}
	}
	if !over {
		return
	}
	x := w.Read(strings.Join(rest, ", "))
	r.Over = r.Sure == 0 && x.Sure|x.Unsure == 0
	if r.Unsure == 0 {
		r.Likeliest = x.Likeliest
	}
	r.Unsure |= (x.Sure | x.Unsure) &^ r.Sure
	if !r.Over {
		r.Calm = false
	}
}

// joined cuts a text at its marks and at words that join.
func (d *dictionary) joined(text string) (all []string) {
	for _, part := range strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(",;:.!?¿¡\n", c) }) {
		words := strings.Fields(part)
		from := 0
		for i, w := range words {
			if d.joins[bareWord(w)] {
				all = append(all, strings.Join(words[from:i], " "))
				from = i + 1
			}
		}
		all = append(all, strings.Join(words[from:], " "))
	}
	return all
}
