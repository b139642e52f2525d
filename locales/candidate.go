package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
)

// The grammar, the claims and the nets each propose what a text answers. A candidate is an answer that one of them proposes;
// which candidates are written down is judged by a net of its own (verdict.go), which was taught on what the others made of
// writers they had not seen.

// Candidate is an answer that a text may give.
type Candidate struct {
	Token reading.Token
	Cues  []uint32 // what the net of verdicts hears of it

	grammar, claims vote // what the grammar made of its question, and what the claims did
}

// vote is what one reader made of a question, beside a candidate.
type vote uint8

const (
	votedNothing vote = iota
	votedSo           // the same answer
	votedElse         // another one
	votedOpen         // the question is named or in doubt
	votedBarred       // whatever reads an answer, it is none
)

// likely is how likely a net must take an answer to be for it to be proposed.
const likely = 0.12

// Candidates lists what a text may answer, for whoever teaches the net that judges them; none where nothing is to be judged.
func (w *Words) Candidates(text string) []Candidate {
	text = unhide(clip(text), w.dict)
	var l left
	r := w.dict.readAll(text, true, &l)
	r.Understood = understood(&r)
	w.judge(text, &r, &l)
	return l.candidates
}

// candidates lists what each question may be answered with.
func (p *prose) candidates() (all []Candidate) {
	var buf [8]chart.Answer
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		values := p.proposed(f, buf[:0])
		for _, v := range values {
			t := reading.Token{Field: f, Value: v}
			if p.part || f.Row().Kind != chart.Setting { // a setting is how it is now
				t.Day = p.day
				if i := slices.IndexFunc(p.said, func(s reading.Token) bool { return s.Field == f && s.Value == v && s.Night != 0 }); i >= 0 && !p.part {
					t.Night, t.Day = p.said[i].Night, p.said[i].Day
				}
			}
			all = append(all, Candidate{Token: t, grammar: p.byGrammar(f, v), claims: p.byClaims(f, v)})
		}
	}
	return all
}

// proposed adds the answers that anybody proposes to a question.
func (p *prose) proposed(f chart.Field, dst []chart.Answer) []chart.Answer {
	most := f.Row().Most
	add := func(v chart.Answer) {
		if v.Known() && f.Takes(v) && v.N() <= most && len(dst) < cap(dst) && !slices.Contains(dst, v) {
			dst = append(dst, v)
		}
	}
	for _, t := range p.said {
		if t.Field == f && (p.whole || t.Value.N() <= f.Row().Said) {
			add(t.Value)
		}
	}
	most = f.Row().Said
	add(p.claim[f].value)
	role := answer.RoleOf(f)
	if v, share := p.way(f); share > likely && (role == answer.RoleNone || v.Is(0) && (f == chart.Pain || f == chart.Snoring)) {
		add(v)
	}
	if role == answer.RoleNone {
		return dst
	}
	if not := chart.Num(chart.BiteNot); f == chart.BiteMinutes && p.tags.Way[answer.WayOf(f, not)] > likely {
		add(not)
	}
	if f == chart.WornMinutes {
		for _, s := range p.spans() {
			add(chart.Num(s.minutes))
		}
	}
	for i := range p.tags.Figures {
		switch g := &p.tags.Figures[i]; {
		case g.Share[role] < likely || g.Quarters > 0 && f != chart.WornMinutes:
		case f == chart.WornMinutes:
			add(chart.Num(int(g.N)*60 + 15*int(g.Quarters)))
		default:
			add(chart.Num(int(g.N)))
		}
	}
	return dst
}

// byGrammar is what the grammar made of a question.
func (p *prose) byGrammar(f chart.Field, v chart.Answer) (by vote) {
	for _, t := range p.said {
		switch {
		case t.Field != f:
		case t.Value == v:
			return votedSo
		case t.Value.Known():
			by = votedElse
		case by == votedNothing:
			by = votedOpen
		}
	}
	return by
}

// byClaims is what the claims made of a question.
func (p *prose) byClaims(f chart.Field, v chart.Answer) vote {
	switch c := p.claim[f]; {
	case c.barred:
		return votedBarred
	case c.doubted:
		return votedOpen
	case c.value == v:
		return votedSo
	case c.value.Known():
		return votedElse
	}
	return votedNothing
}

// mostWays is how far from the least answer of a question there are ways of their own.
const mostWays = 12

// way is the answer in words that a question most likely has, if any, and how likely.
func (p *prose) way(f chart.Field) (v chart.Answer, share float32) {
	row := f.Row()
	for n := row.Least; n <= min(row.Most, row.Least+mostWays); n++ {
		if w := answer.WayOf(f, chart.Num(n)); w < answer.NumWays && p.tags.Way[w] > share {
			v, share = chart.Num(n), p.tags.Way[w]
		}
	}
	return v, share
}

// rivalWay is how likely the likeliest other way is in which a question is answered, and whether it is said behind this one.
func (p *prose) rivalWay(f chart.Field, way answer.Way) (share float32, later bool) {
	row := f.Row()
	for n := row.Least; n <= min(row.Most, row.Least+mostWays); n++ {
		if w := answer.WayOf(f, chart.Num(n)); w < answer.NumWays && w != way && p.tags.Way[w] > share {
			share, later = p.tags.Way[w], way < answer.NumWays && p.tags.At[w] > p.tags.At[way]
		}
	}
	return share, later
}

// counted is how likely a figure that means this answer answers the question, to all ears and to the one that believes it least; false
// where there is none.
func (p *prose) counted(f chart.Field, v chart.Answer) (best, least float32, said bool) {
	role := answer.RoleOf(f)
	for i := range p.tags.Figures {
		if g := &p.tags.Figures[i]; role != answer.RoleNone && g.Means(f, v) {
			said, best, least = true, max(best, g.Share[role]), max(least, g.Least[role])
		}
	}
	return best, least, said
}
