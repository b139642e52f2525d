package school

import (
	"errors"
	"strings"
	"sync"

	"duskdawn/locales"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
	"duskdawn/locales/sentence"
)

// turns is in how many turns the writers are left out, and fewLines the most sentences a voice of a writer's file may
// have for it to be left out: those of more are needed in every turn. Who wrote a file wrote all its voices, so that
// it is left out whole: leaving out one voice alone made 85 % of the emergencies sure where it was 75 % of people who
// were new.
const (
	turns    = 4
	fewLines = 400
)

// Unseen is what a net hears in a sentence whose writer it was not taught on.
type Unseen struct {
	*sentence.Sentence
	danger.Hearing
}

// Turn is a net that was taught on all but some writers, and the sentences of these.
type Turn struct {
	Nets locales.Nets
	Left []sentence.Sentence

	dangers *linear.Form
	tagger  *answer.Tagger
	answers []lesson // what the readers make of these sentences, for the net of verdicts
}

// Turns leaves the writers out in turns, so that what reads with the net of a turn is measured on writers whom that net
// was not taught on. It gives the bars that what was heard of them comes to, which the nets of the turns have too.
// Turns are taught side by side; each is the same whatever the others do.
func Turns(all []sentence.Sentence, keep Keep) ([]Turn, linear.Bars, error) {
	c, err := classOf(all)
	if err != nil {
		return nil, linear.Bars{}, err
	}
	return turnsIn(all, c, keep)
}

func turnsIn(all []sentence.Sentence, c class, keep Keep) ([]Turn, linear.Bars, error) {
	turn := turnsOf(all)
	out, errs := make([]Turn, turns), make([]error, turns)
	var wait sync.WaitGroup
	for now := range turns {
		wait.Go(func() {
			t := &out[now]
			for i := range all {
				if turn[i] == now {
					t.Left = append(t.Left, all[i])
				}
			}
			if t.dangers, t.tagger, errs[now] = c.taught(keep, func(of int) bool { return turn[of] != now }); errs[now] == nil {
				errs[now] = t.open(nil)
			}
		})
	}
	wait.Wait()
	if err := errors.Join(errs...); err != nil {
		return nil, linear.Bars{}, err
	}
	var heard []Unseen
	for _, t := range out {
		for i := range t.Left {
			heard = append(heard, Unseen{&t.Left[i], t.Nets.Dangers.Hear(fold.Text(nil, t.Left[i].Text))})
		}
	}
	bars := bars(heard)
	for i := range out {
		out[i].dangers.Bars = bars
		errs[i] = out[i].open(nil)
	}
	if err := errors.Join(errs...); err != nil {
		return nil, bars, err
	}
	words, err := locales.LoadHearing(locales.Nets{})
	if err != nil {
		return nil, bars, err
	}
	for i := range out {
		wait.Go(func() { out[i].answers, errs[i] = verdictLessons(words.HearingWith(out[i].Nets), out[i].Left) })
	}
	wait.Wait()
	if err := errors.Join(errs...); err != nil {
		return nil, bars, err
	}
	for i := range out {
		wait.Go(func() { errs[i] = out[i].open(judges(out, &out[i])) })
	}
	wait.Wait()
	return out, bars, errors.Join(errs...)
}

// judges teaches the net of verdicts on what the readers of every turn made of sentences whose writers they had not seen; on
// those of one turn it is not taught.
func judges(all []Turn, but *Turn) *linear.Form {
	var ls []lesson
	for i := range all {
		if &all[i] != but {
			ls = append(ls, all[i].answers...)
		}
	}
	return train(ls, []answer.Block{{From: 0, To: answer.NumVerdicts}}, fewestVerdicts, deafVerdicts).form(linear.OfAnswer)
}

// open makes the nets of what was taught.
func (t *Turn) open(verdicts *linear.Form) error {
	if verdicts == nil {
		verdicts = &linear.Form{Scale: linear.OfAnswer, Rows: []linear.Row{{Input: 1, Weights: [linear.Width]float32{1}}}}
	}
	buf, err := t.dangers.Bytes()
	if err != nil {
		return err
	}
	dangers, _, err := danger.Open(buf)
	if err != nil {
		return err
	}
	if buf, err = verdicts.Bytes(); err != nil {
		return err
	}
	judge, _, err := linear.Open(buf)
	if err != nil {
		return err
	}
	answers, err := answer.New(t.tagger, judge)
	t.Nets = locales.Nets{Dangers: dangers, Answers: answers}
	return err
}

// turnsOf deals the files to the turns, those of one name in each language to the same; -1 is never left out.
func turnsOf(all []sentence.Sentence) []int {
	lines, many := map[string]int{}, map[string]bool{}
	for i := range all {
		voice := all[i].File + all[i].Kind
		lines[voice]++
		many[all[i].File] = many[all[i].File] || lines[voice] > fewLines
	}
	given, next := map[string]int{}, 0
	out := make([]int, len(all))
	for i := range all {
		name := strings.TrimPrefix(all[i].File, all[i].Lang()+".")
		at, ok := given[name]
		switch {
		case many[all[i].File]:
			at = -1
		case !ok:
			at, next = next%turns, next+1
			given[name] = at
		}
		out[i] = at
	}
	return out
}
