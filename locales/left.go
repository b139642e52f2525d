package locales

// left is what the grammar leaves of a text: the words with a meaning, wherever they stand, and how many words, numbers
// and times found no question.
type left struct {
	label    bool     // it is what stands on a button
	labelled fieldSet // what pieces of it answer as a button does
	prose    prose    // what claims say of it, where the grammar left something over
	unknown  int      // words that the dictionaries do not know
	pos      concepts // not behind a "not"
	n        int      // numbers and times

	candidates []Candidate // what may be answered
}

// behind is how many words a "not" reaches over.
const behind = 5

// keep notes the meanings of a text that stand behind no "not".
func (l *left) keep(items []item) {
	reach := 0
	for _, it := range items {
		switch it.kind {
		case itemMark:
			reach = 0
		case itemConcept:
			switch {
			case it.c == cNot, it.c == cNone, it.c == cCannot:
				reach = behind
			case it.c == cBut, it.c == cAnd:
				reach = 0
			case reach <= 0:
				l.pos.add(it.c)
			}
			reach--
		case itemUnknown:
			l.unknown++
			reach--
		}
	}
}
