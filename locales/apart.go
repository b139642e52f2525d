package locales

import (
	"strings"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// A question takes the danger from what it asks, and from nothing else: "can I drink wine? My chest hurts" is a question, and
// an emergency beside it. What stands apart from a question is read by itself.

// beside are the dangers that a text states beside what it asks: surely where whole sentences do, perhaps where a clause does,
// or the words from the writer's own "my" or "I" on.
func (w *Words) beside(text string, r *reading.Reading) {
	if r.Sure.Of('E') != 0 || r.Word != reading.NoWord || r.Code != "" || r.Hedges&reading.HedgeQuestion == 0 && !strings.ContainsAny(text, "?¿") {
		return
	}
	asked, told := sentences(text)
	if told != "" && asked != "" {
		x := w.Read(told)
		if x.Features == 0 { // heard by the net alone: what is sure is asked about, what is perhaps one is left to the whole text
			x.Sure, x.Unsure = 0, x.Sure
		}
		if (x.Sure|x.Unsure)&^r.Sure != 0 {
			r.Sure, r.Unsure, r.Features, r.Doubted, r.Hedges, r.Calm = r.Sure|x.Sure, (r.Unsure|x.Unsure)&^(r.Sure|x.Sure), r.Features|x.Features, x.Doubted, x.Hedges, false
		}
	}
	if r.Sure|r.Unsure != 0 {
		return
	}
	for _, piece := range w.dict.clauses(asked, told) {
		if x := w.readAlone(piece); x != 0 {
			r.Unsure, r.Calm, r.Doubted = r.Unsure|x, false, true
			return
		}
	}
}

// readAlone are the emergencies that a piece of a text surely says by itself, by a phrase of the flag table.
func (w *Words) readAlone(piece string) reading.Dangers {
	var l left
	x := w.dict.readAll(piece, false, &l)
	x.Understood = understood(&x)
	w.judge(piece, &x, &l)
	return x.Sure.Of('E') & flagDangers(x.Features)
}

// sentences parts a text into those sentences that ask and those that do not.
func sentences(text string) (asked, told string) {
	for len(text) > 0 {
		end := strings.IndexAny(text, "?.!\n¿")
		if end < 0 {
			end = len(text) - 1
		}
		if strings.HasPrefix(text[end:], "¿") && end > 0 { // it begins the next one
			told += text[:end] + ". "
			text = text[end:]
			continue
		}
		if open := strings.TrimPrefix(text, "¿"); len(open) < len(text) {
			to := strings.IndexAny(open, "?\n")
			if to < 0 {
				to = len(open) - 1
			}
			asked += open[:to+1] + " "
			text = open[to+1:]
			continue
		}
		one := text[:end+1]
		if text = text[end+1:]; strings.HasSuffix(one, "?") {
			asked += one + " "
		} else {
			told += one + " "
		}
	}
	return strings.TrimSpace(asked), strings.TrimSpace(told)
}

// clauses are the pieces of a question that may be said apart from it: from a comma to the next, and from a word of one's own
// on that no word leads into the question.
func (d *dictionary) clauses(asked, told string) (all []string) {
	text := asked
	if text == "" { // it begins like a question, and has no mark
		text = told
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",;:.!?\n", r) })
	if len(parts) > 1 {
		for _, p := range parts {
			if first, _, _ := strings.Cut(string(fold.Text(nil, strings.TrimSpace(p))), " "); !d.leads[first] {
				all = append(all, p)
			}
		}
	}
	words := strings.Fields(text)
	for i := 2; i < len(words); i++ {
		if d.begins[bareWord(words[i])] && !d.leads[bareWord(words[i-1])] && !d.begins[bareWord(words[i-1])] {
			all = append(all, strings.Join(words[i:], " "))
		}
	}
	return all
}

func bareWord(word string) string { return strings.Trim(string(fold.Text(nil, word)), ".,;:!?'") }
