package school

import (
	"errors"
	"strings"
	"sync"

	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
	"duskdawn/locales/sentence"
)

// turns is in how many turns the writers are left out, and fewLines the most sentences a voice of a writer's file may
// have for it to be left out: those of more are needed in every turn. Who wrote a file wrote all its voices, so that
// it is left out whole: leaving out one voice alone made 85 % of the emergencies sure where it was 75 % of people who
// were new.
const (
	turns    = 6
	fewLines = 400
)

// Unseen is what a net hears in a sentence whose writer it was not taught on.
type Unseen struct {
	*sentence.Sentence
	danger.Hearing
}

// Turn is a net that was taught on all but some writers, and the sentences of these.
type Turn struct {
	Net  *danger.Net
	Left []sentence.Sentence

	form, ways *danger.Form
}

// Turns leaves the writers out in turns, so that what reads with the net of a turn is measured on writers whom that net
// was not taught on. It gives the bars that what was heard of them comes to, which the nets of the turns have too.
// Turns are taught side by side; each is the same whatever the others do.
func Turns(all []sentence.Sentence) ([]Turn, danger.Bars, error) {
	ls, err := lessons(all)
	if err != nil {
		return nil, danger.Bars{}, err
	}
	ways, err := wayLessons(all)
	if err != nil {
		return nil, danger.Bars{}, err
	}
	turn := turnsOf(all)
	out, errs := make([]Turn, turns), make([]error, turns)
	var wait sync.WaitGroup
	for now := range turns {
		wait.Go(func() {
			out[now] = oneTurn(all, ls, ways, turn, now)
			errs[now] = out[now].open()
		})
	}
	wait.Wait()
	if err := errors.Join(errs...); err != nil {
		return nil, danger.Bars{}, err
	}
	var heard []Unseen
	for _, t := range out {
		for i := range t.Left {
			heard = append(heard, Unseen{&t.Left[i], t.Net.Hear(fold.Text(nil, t.Left[i].Text))})
		}
	}
	bars := bars(heard)
	for i := range out {
		out[i].form.Bars = bars
		errs = append(errs, out[i].open())
	}
	return out, bars, errors.Join(errs...)
}

// oneTurn teaches all but the writers of a turn.
func oneTurn(all []sentence.Sentence, ls, ways []lesson, turn []int, now int) (t Turn) {
	var taught, answers []lesson
	for i, l := range ls {
		if turn[i] != now {
			taught = append(taught, l)
		} else {
			t.Left = append(t.Left, all[i])
		}
	}
	for _, l := range ways {
		if turn[l.of] != now {
			answers = append(answers, l)
		}
	}
	t.form, t.ways = train(taught, fewest).form(), train(answers, fewestWays).form()
	return t
}

// open makes the net of what was taught.
func (t *Turn) open() error {
	net, err := opened(t.form)
	if err != nil {
		return err
	}
	ways, err := opened(t.ways)
	t.Net = net.HearWays(ways)
	return err
}

func opened(f *danger.Form) (*danger.Net, error) {
	buf, err := f.Bytes()
	if err != nil {
		return nil, err
	}
	n, _, err := danger.Open(buf)
	return n, err
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
