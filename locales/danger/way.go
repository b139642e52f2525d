package danger

import (
	_ "embed"
	"errors"

	"duskdawn/flows/chart"
)

// Way is a way to answer: what is said of one question, as far as words say it. A small net of its own hears ways
// (ways.bin). It knows nothing of numbers; whoever reads an answer that it does not hear may have it wrong. The ways of
// one question, with that of leaving it open, share 1 among them: a text answers any number of questions.
type Way uint8

// wayRows are the questions that are answered in ways, and how many each has: the answers of a choice from the least,
// the last way for all that are left; of a score none and some; one of a number. Behind them comes the way of a text
// that leaves the question open.
var wayRows = [...]struct {
	field chart.Field
	many  int
}{{chart.Worn, 3}, {chart.WornMinutes, 1}, {chart.NotWorn, 10}, {chart.Snoring, 2}, {chart.Pain, 2}, {chart.Woken, 2}, {chart.Where, 5},
	{chart.Gone, 4}, {chart.Guide, 2}, {chart.Bite, 4}, {chart.BiteMinutes, 1}, {chart.Sleepiness, 1}, {chart.Driving, 4},
	{chart.Pauses, 2}, {chart.Headache, 2}, {chart.SettingLeft, 1}, {chart.Nose, 2}, {chart.Reporter, 4},
	{chart.Wrong, 2}}

// NumWays is how many ways there are; it stands for answers that have none.
const NumWays Way = 73

// Block is outputs that share 1 among them.
type Block struct{ From, To int }

// WayBlocks are the ways of each question, the last of each that of leaving it open.
func WayBlocks() []Block {
	all := make([]Block, len(wayRows))
	at := 0
	for i, r := range wayRows {
		all[i] = Block{at, at + r.many + 1}
		at += r.many + 1
	}
	return all
}

// WayOf is the way of an answer.
func WayOf(f chart.Field, v chart.Answer) Way {
	switch {
	case !v.Known():
		return NumWays
	case f == chart.GuideMinutes:
		v = chart.Num(btoi(v.N() > 0))
	}
	f = home(f)
	at := 0
	for _, r := range wayRows {
		if r.field == f {
			return Way(at + max(min(v.N()-f.Row().Least, r.many-1), 0))
		}
		at += r.many + 1
	}
	return NumWays
}

// home is the question whose ways the answers of another share.
func home(f chart.Field) chart.Field {
	switch f {
	case chart.GuideMinutes:
		return chart.Guide
	case chart.SettingRight:
		return chart.SettingLeft
	}
	return f
}

// WayOpen is the way of a text that leaves a question open; NumWays for one that has no ways.
func WayOpen(f chart.Field) Way {
	f = home(f)
	at := 0
	for _, r := range wayRows {
		if at += r.many; r.field == f {
			return Way(at)
		}
		at++
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

// With gives a net that hears ways and figures by two others.
func (n *Net) With(ways, figures, verdicts *Net) (*Net, error) {
	numbers, err := readNumbers()
	all := *n
	all.ways, all.figures, all.verdicts, all.numbers = ways, figures, verdicts, numbers
	return &all, err
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
	var out [Width]float32
	n.ways.sum(kept, &out)
	for _, b := range wayBlocks {
		Softmax(out[b.From:b.To])
	}
	for w := range h.Way {
		h.Way[w] = max(h.Way[w], out[w])
	}
}

var wayBlocks = WayBlocks()

// loadBeside adds the nets of ways and of figures that are built in.
func loadBeside(n *Net, hash [32]byte) (*Net, error) {
	ways, of, err := Open(bytesOfAnswers)
	if err != nil {
		return nil, err
	}
	figures, and, err := Open(bytesOfFigures)
	if err != nil {
		return nil, err
	}
	verdicts, with, err := Open(bytesOfVerdicts)
	switch {
	case err != nil:
		return nil, err
	case of != hash || and != hash || with != hash:
		return nil, errors.New("the nets were not taught together")
	}
	return n.With(ways, figures, verdicts)
}
