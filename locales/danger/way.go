package danger

import (
	_ "embed"
	"errors"

	"duskdawn/flows/chart"
)

// Way is a way to answer: what is said of one question, as far as words say it. A small net of its own hears ways
// (ways.bin). It knows nothing of numbers; whoever reads an answer that it does not hear may have it wrong.
type Way uint8

// wayRows are the questions that are answered in ways, and how many each has: the answers of a choice from the least,
// the last way for all that are left; of a score none and some; one of a number.
var wayRows = [...]struct {
	field chart.Field
	many  int
}{{chart.Worn, 3}, {chart.WornMinutes, 1}, {chart.NotWorn, 7}, {chart.Snoring, 2}, {chart.Pain, 2}, {chart.Woken, 2}, {chart.Where, 1},
	{chart.Gone, 4}, {chart.Guide, 2}, {chart.Bite, 4}, {chart.BiteMinutes, 1}, {chart.Sleepiness, 1}, {chart.Driving, 4},
	{chart.Pauses, 2}, {chart.Headache, 2}, {chart.SettingLeft, 1}}

// WayNothing is the way of a text that answers nothing; NumWays stands for answers that have none.
const (
	WayNothing Way = 39
	NumWays    Way = 40
)

// WayOf is the way of an answer.
func WayOf(f chart.Field, v chart.Answer) Way {
	switch {
	case !v.Known():
		return NumWays
	case f == chart.GuideMinutes:
		f, v = chart.Guide, chart.Num(btoi(v.N() > 0))
	case f == chart.SettingRight:
		f = chart.SettingLeft
	}
	at := 0
	for _, r := range wayRows {
		if r.field == f {
			return Way(at + max(min(v.N()-f.Row().Least, r.many-1), 0))
		}
		at += r.many
	}
	return NumWays
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

//go:embed ways.bin
var bytesOfAnswers []byte

// wayKinds are the inputs by which ways are heard: runs of letters, places and hedges told nothing more.
const wayKinds = 1<<kindWord | 1<<kindPair | 1<<kindSkip | 1<<kindNot

// WayInputs lists the numbers of the inputs by which the ways of a folded text are heard, in ascending order.
func WayInputs(text []byte) ([]uint32, error) {
	cues, err := readCues()
	if err != nil {
		return nil, err
	}
	ws := words(text, nil)
	var ids []uint32
	for _, in := range cues.inputs(text, ws, cues.cues(text, ws), nil) {
		if wayKinds&(1<<in.kind) != 0 {
			ids = append(ids, in.id)
		}
	}
	return ids, nil
}

// HearWays gives a net that hears ways by another one.
func (n *Net) HearWays(ways *Net) *Net {
	both := *n
	both.ways = ways
	return &both
}

// hearWays adds how likely each way is in a piece of a text, of pieces the greatest; it drops the other inputs.
func (n *Net) hearWays(ins []input, h *Hearing) {
	if n.ways == nil {
		return
	}
	kept := ins[:0]
	for _, in := range ins {
		if wayKinds&(1<<in.kind) != 0 {
			kept = append(kept, in)
		}
	}
	var out [Outputs]float32
	n.ways.sum(kept, &out)
	Softmax(out[:NumWays])
	for w := range h.Way {
		h.Way[w] = max(h.Way[w], out[w])
	}
}

// loadWays adds the net of ways that is built in.
func loadWays(n *Net, hash [32]byte) (*Net, error) {
	ways, of, err := Open(bytesOfAnswers)
	switch {
	case err != nil:
		return nil, err
	case of != hash:
		return nil, errors.New("the two nets were not taught together")
	}
	return n.HearWays(ways), nil
}
