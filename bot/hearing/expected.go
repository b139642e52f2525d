package hearing

import (
	"duskdawn/flows/reading"
	"duskdawn/locales/sentence"
)

// written lists the answers that a reading would write down.
func written(r *reading.Reading) []sentence.Value {
	var out []sentence.Value
	for _, t := range r.Tokens {
		if t.Value.Known() {
			out = append(out, sentence.Said(t))
		}
	}
	return out
}

// compare says which of the wanted answers are missing and which that were read are wrong: another than wanted, or
// not wanted at all.
func compare(wanted, read []sentence.Value) (right int, missing, wrong []sentence.Value) {
	for _, w := range wanted {
		found := false
		for _, r := range read {
			found = found || r == w || w.Implied(r)
		}
		if found {
			right++
		} else {
			missing = append(missing, w)
		}
	}
	for _, r := range read {
		found := false
		for _, w := range wanted {
			found = found || r == w || r.Implied(w)
		}
		if !found {
			wrong = append(wrong, r)
		}
	}
	return right, missing, wrong
}
