package school

import (
	"errors"
	"slices"
	"sync"

	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
	"duskdawn/locales/sentence"
)

// turns is in how many turns the writers are left out, and fewLines the most sentences a writer may have to be left
// out: those of more are needed in every turn.
const (
	turns    = 8
	fewLines = 300
)

// Unseen is what a net hears in a sentence whose writer it was not taught on.
type Unseen struct {
	*sentence.Sentence
	danger.Hearing
}

// unseen leaves the writers out in turns and hears their sentences with a net taught on the others. Turns are taught
// side by side; each is the same whatever the others do.
func unseen(all []sentence.Sentence, ls []lesson) ([]Unseen, error) {
	turn := turnsOf(all)
	heard, errs := make([][]Unseen, turns), make([]error, turns)
	var wait sync.WaitGroup
	for now := range turns {
		wait.Go(func() { heard[now], errs[now] = oneTurn(all, ls, turn, now) })
	}
	wait.Wait()
	return slices.Concat(heard...), errors.Join(errs...)
}

// oneTurn teaches all but the writers of a turn, and hears these.
func oneTurn(all []sentence.Sentence, ls []lesson, turn []int, now int) ([]Unseen, error) {
	var taught []lesson
	for i, l := range ls {
		if turn[i] != now {
			taught = append(taught, l)
		}
	}
	buf, err := train(taught).form().Bytes()
	if err != nil {
		return nil, err
	}
	net, _, err := danger.Open(buf)
	if err != nil {
		return nil, err
	}
	var out []Unseen
	for i := range all {
		if turn[i] == now {
			out = append(out, Unseen{&all[i], net.Hear(fold.Text(nil, all[i].Text))})
		}
	}
	return out, nil
}

// turnsOf deals the writers to the turns, in the order in which they come; -1 is never left out.
func turnsOf(all []sentence.Sentence) []int {
	lines := map[string]int{}
	for i := range all {
		lines[all[i].File+all[i].Kind]++
	}
	given, next := map[string]int{}, 0
	out := make([]int, len(all))
	for i := range all {
		kind := all[i].File + all[i].Kind
		at, ok := given[kind]
		switch {
		case ok:
		case lines[kind] > fewLines:
			at = -1
		default:
			at, next = next%turns, next+1
		}
		given[kind], out[i] = at, at
	}
	return out
}
