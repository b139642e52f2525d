package locales

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

func calledSense(key string) (sense, error) {
	if f, ok := chart.Named(key); ok {
		return sense{c: cField + concept(f)}, nil
	}
	if i := slices.Index(conceptNames[:], key); i > 0 {
		return sense{c: concept(i)}, nil
	}
	return sense{}, fmt.Errorf("no concept and no question is called %q", key)
}

func answerSense(key string) (sense, error) {
	name, value, _ := strings.Cut(key, ".")
	n, err := strconv.Atoi(value)
	if err != nil {
		return sense{}, fmt.Errorf("the answer %q: %w", key, err)
	}
	f, ok := chart.Named(name)
	if v := chart.Num(n); ok && f.Takes(v) {
		return sense{kind: senseAnswer, field: f, value: v}, nil
	}
	return sense{}, fmt.Errorf("no question has the answer %q", key)
}

func featureSense(key string) (sense, error) {
	for _, f := range featureNames {
		if f.name == key {
			return sense{kind: senseFeature, flags: f.flags}, nil
		}
	}
	return sense{}, fmt.Errorf("no feature is called %q", key)
}

func countSense(kind senseKind, most int) func(string) (sense, error) {
	return func(key string) (sense, error) {
		n, err := strconv.Atoi(key)
		if err != nil || n < 0 || n > most {
			return sense{}, fmt.Errorf("%q is not 0 to %d", key, most)
		}
		return sense{kind: kind, n: int8(n)}, nil
	}
}

func wordNamed(name string) (reading.Word, bool) {
	for w, n := range words {
		if n == name {
			return w, true
		}
	}
	return 0, false
}

func sortedKeys(m map[string][]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// item is what words of a sense are in a text.
func (s *sense) item(at int32, words []lexeme) item {
	it := item{glued: words[0].glued, sense: at, c: s.c, n: s.n, from: words[0].from, to: words[len(words)-1].to}
	switch s.kind {
	case senseConcept:
		it.kind = itemConcept
	case senseAnswer:
		it.kind = itemAnswer
	case senseFeature:
		it.kind = itemFeature
	case senseNumber:
		it.kind, it.num = itemNumber, numeral{n: int32(s.n), said: len(words) == 1 || s.n != 1} // "a one" is no pronoun
	case senseWeekday:
		it.kind = itemWeekday
	case senseMonth:
		it.kind = itemMonth
	case senseAgo:
		it.kind = itemAgo
	}
	return it
}
