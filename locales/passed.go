package locales

import (
	"bytes"

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
	var buf [512]byte
	b := fold.Text(buf[:0], text)
	over := false
	for clause, rest := w.dict.clause(b); !over && len(clause)+len(rest) > 0; clause, rest = w.dict.clause(rest) {
		over = w.dict.isOver(clause)
	}
	if !over {
		return
	}
	var beside []byte
	for clause, rest := w.dict.clause(b); len(clause)+len(rest) > 0; clause, rest = w.dict.clause(rest) {
		if !w.dict.isOver(clause) {
			beside = append(append(beside, clause...), ", "...)
		}
	}
	x := w.Read(string(beside))
	r.Over = r.Sure == 0 && x.Sure|x.Unsure == 0
	if r.Unsure == 0 {
		r.Likeliest = x.Likeliest
	}
	r.Unsure |= (x.Sure | x.Unsure) &^ r.Sure
	if !r.Over {
		r.Calm = false
	}
}

// isOver reports whether a folded clause says no more than that something is over, or not now.
func (d *dictionary) isOver(clause []byte) bool {
	w := d.whole[string(clause)]
	return w == reading.WordNotNow || w == reading.WordOver
}

// clause cuts the first clause off a folded text: it ends at a mark, or before a word that joins.
func (d *dictionary) clause(b []byte) (clause, rest []byte) {
	const marks = ",;:.!?\n"
	for at := 0; at < len(b); {
		end := at
		for end < len(b) && b[end] != ' ' && bytes.IndexByte([]byte(marks), b[end]) < 0 {
			end++
		}
		switch {
		case d.joins[string(b[at:end])]:
			return bytes.TrimSpace(b[:at]), b[end:]
		case end < len(b) && b[end] != ' ':
			return bytes.TrimSpace(b[:end]), b[end+1:]
		}
		at = end + 1
	}
	return bytes.TrimSpace(b), nil
}
