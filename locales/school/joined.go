package school

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
	"duskdawn/locales/sentence"
)

// Dangers are told in passing: "guide 5 min, bite ok, and I passed out". So sentences are taught once more behind or before another
// one of their writer: beside a day's answers, small talk or a question a danger stays one. Of 1,360 sentences of strangers to each of which a
// diary line was put, the net heard 97 to 99 in a hundred emergencies so where it had heard 87.

// besides is which sentences stand beside those of a class, each as likely: the first letters of classes, "-" for none.
var besides = map[byte]string{
	'E': "DDDDDDDDHQ", 'S': "DDDDDDDDHQ", 'N': "DDDDDDDDHQ",
	'Q': "DDDDDDDHHH",
	'H': "DDDDDDDDDD",
	'D': "D---------",
}

// between is what stands between two sentences, each as likely; the empty one is the language's "and".
var between = [...]string{", ", ", ", ". ", ". ", " ", " ", "\n", ""}

// ands joins sentences in each language.
var ands = map[string]string{"en": " and ", "es": " y "}

// joinedLessons hears sentences beside others of the same writer.
func joinedLessons(all []sentence.Sentence) ([]lesson, error) {
	type writer struct {
		file  string
		class byte
	}
	of := map[writer][]int{}
	for i := range all {
		w := writer{all[i].File, all[i].Class}
		of[w] = append(of[w], i)
	}
	var out []lesson
	random := rand.New(rand.NewPCG(seedA, seedJoined))
	for i := range all {
		s := &all[i]
		with := besides[s.Class]
		if with == "" {
			continue
		}
		choice := of[writer{s.File, with[random.IntN(len(with))]}]
		if len(choice) == 0 {
			continue
		}
		other := &all[choice[random.IntN(len(choice))]]
		mark := between[random.IntN(len(between))]
		if mark == "" {
			mark = ands[s.Lang()]
		}
		one, two := s.Text, other.Text
		if random.IntN(3) > 0 {
			one, two = two, one
		}
		ids, err := danger.Inputs(fold.Text(nil, one+mark+two))
		if err != nil {
			return nil, err
		}
		l := lesson{inputs: ids, weight: 1, of: i, beside: true}
		if err := l.aimBoth(s, other); err != nil {
			return nil, fmt.Errorf("%s:%d and %d: %w", s.File, s.Line, other.Line, err)
		}
		l.weight *= again
		out = append(out, l)
	}
	return out, nil
}

// aimBoth sets the targets of a lesson of two sentences: those of the danger, or of both: what seems one leaves the answers as they are.
func (l *lesson) aimBoth(s, other *sentence.Sentence) error {
	switch {
	case s.Class == 'H':
		return l.aim(other)
	case s.Class != 'D' && (s.Class != 'Q' || other.Class != 'D'):
		return l.aim(s)
	}
	var one, two lesson
	if err := one.aim(s); err != nil {
		return err
	}
	if err := two.aim(other); err != nil {
		return err
	}
	switch l.weight = one.weight; {
	case one.any: // nothing certain is said
		l.targets, l.any = two.targets, two.any
	case two.any:
		l.targets = one.targets
	default:
		l.targets = slices.Concat(one.targets, two.targets)
		slices.Sort(l.targets)
		l.targets = slices.Compact(l.targets)
	}
	return nil
}
