package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
)

// Carrier is an answer that was read, and who read it.
type Carrier struct {
	Field   chart.Field
	Value   chart.Answer
	Label   bool    // as a button says it
	Grammar bool    // by the grammar, from left to right
	Claims  bool    // by its question, which looked for it by itself
	Matter  float32 // how likely the net takes the text to answer about its matter, 0 to 1
	Way     float32 // ... in this way
	Figure  float32 // ... with this number
	Verdict float32 // how likely it is to be written down, of what was judged
}

// Carriers says for every answer that Read writes down which of the readers carried it. What a label says is read by
// neither.
func (w *Words) Carriers(text string) (all []Carrier) {
	r, candidates := w.Read(text), w.Candidates(text)
	var l left
	text = unhide(clip(text), w.dict)
	by := w.dict.readAll(text, true, &l)
	b := fold.Text(nil, text)
	h := w.nets.Dangers.Hear(b)
	tags := w.nets.Answers.Tag(b)
	p := w.prose.claims(b, &h, &tags)
	for _, t := range r.Tokens {
		if !t.Value.Known() {
			continue
		}
		c := Carrier{Field: t.Field, Value: t.Value, Label: l.label, Grammar: answersSo(&by, t), Claims: p.claim[t.Field].value == t.Value}
		for i := range p.nights {
			c.Claims = c.Claims || p.nights[i].day == t.Day && p.nights[i].claim[t.Field].value == t.Value
		}
		if m := danger.MatterOf(t.Field); m < danger.NumMatters {
			c.Matter = h.Matter[m]
		}
		if way := answer.WayOf(t.Field, t.Value); way < answer.NumWays {
			c.Way = tags.Way[way]
		}
		c.Figure, _, _ = p.counted(t.Field, t.Value)
		for _, x := range candidates {
			if x.Token == t {
				c.Verdict = w.nets.Answers.Verdict(x.Cues)
			}
		}
		all = append(all, c)
	}
	return all
}

func answersSo(r *reading.Reading, t reading.Token) bool {
	for _, u := range r.Tokens {
		if u.Field == t.Field && u.Value == t.Value {
			return true
		}
	}
	return false
}
