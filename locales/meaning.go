package locales

// meaning is what the net hears of a word or a mark: what follows here, a concept, an answer, or one of them behind a "not".
type meaning uint16

const (
	meansUnknown meaning = iota // a word that is not known
	meansComma
	meansStop
	meansNumber
	meansDanger
	meansElse
	meansConcept meaning = 16
	meansAnswer          = meansConcept + meaning(numConcepts)
	meansNot     meaning = 1 << 15
)

func (m meaning) bytes() (hi, lo byte) { return byte(m >> 8), byte(m) }

// meanings writes down the text as what the net hears of it: meanings, marks, numbers, and words that are not known.
func (p *prose) meanings() (out []meaning) {
	for i := range p.ws {
		w := &p.ws[i]
		if i > 0 && p.ws[i-1].sentence != w.sentence {
			out = append(out, meansStop)
		} else if i > 0 && p.ws[i-1].clause != w.clause {
			out = append(out, meansComma)
		}
		out = append(out, p.meaning(i))
	}
	return out
}

// meaning is that of a word.
func (p *prose) meaning(i int) meaning {
	w := &p.ws[i]
	t := meansElse
	switch w.kind {
	case itemUnknown:
		t = meansUnknown
	case itemNumber:
		t = meansNumber
	case itemFeature:
		t = meansDanger
	case itemConcept:
		t = meansConcept + meaning(w.c)
	case itemAnswer:
		t = meansAnswer + meaning(w.field)<<4 + meaning(w.value.N()&15)
	}
	if w.not && t > meansUnknown {
		t |= meansNot
	}
	return t
}
