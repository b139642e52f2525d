package school

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"duskdawn/locales"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
	"duskdawn/locales/sentence"
)

// lesson is one sentence as the net hears it.
type lesson struct {
	inputs  []uint32
	targets []int // the outputs that are meant; a block without one is left alone
	any     bool  // any of them will do; else all of a block, with equal shares
	weight  float32
	of      int  // the sentence, of those that were read
	beside  bool // it is taught beside another one (joined.go)
}

// How it is taught: found by leaving writers out, one change at a time.
const (
	passes         = 16
	rate           = 1.0
	harder         = 2.25  // what a sentence weighs that is harmless or only seems dangerous
	plain          = 1.5   // ... that nobody sorted further
	again          = 0.5   // ... beside another one, of what it weighs alone
	lighter        = 0.6   // ... of the diary: there are more of them than of all others
	fewest         = 56    // sentences an input must stand in
	fewestVerdicts = 8     // answers a cue must stand beside
	deaf           = 0.5   // share of a sentence's inputs that is left out each time: no word may carry a danger alone
	deafVerdicts   = 0.7   // ... of what is heard of an answer
	rightEnough    = 0.002 // an output that is this near is left alone
	seedA          = 20_261_103
	seedB          = 7
	seedJoined     = 99
)

// lessons hears every sentence.
func lessons(all []sentence.Sentence) ([]lesson, error) {
	out := make([]lesson, len(all))
	for i := range all {
		s := &all[i]
		ids, err := danger.Inputs(fold.Text(nil, s.Text))
		if err != nil {
			return nil, err
		}
		out[i] = lesson{inputs: ids, weight: 1, of: i}
		if err := out[i].aim(s); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", s.File, s.Line, err)
		}
	}
	return out, nil
}

// telling reports whether a sentence says what is to be written down, if only that nothing is.
func telling(s *sentence.Sentence) bool {
	return !s.Danger() && s.Class != '-' && (s.Class != 'D' || s.Expected != "")
}

// wayTarget is the way in which a question is answered, the last of its ways where it is not; false where that is not
// plain: on several days, or in two ways.
func wayTarget(values []sentence.Value, b answer.Block) (target int, ok bool) {
	target, ok = b.To-1, true
	for _, v := range values {
		w := int(answer.WayOf(v.Field, v.Answer))
		switch {
		case w < b.From || w >= b.To:
		case v.Day != values[0].Day || target != b.To-1 && target != w:
			return 0, false
		default:
			target = w
		}
	}
	return target, ok
}

// verdictLessons hears every answer that the readers propose to these sentences.
func verdictLessons(w *locales.Words, all []sentence.Sentence) ([]lesson, error) {
	var out []lesson
	for i := range all {
		s := &all[i]
		if !telling(s) {
			continue
		}
		values, err := s.Values()
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", s.File, s.Line, err)
		}
		for _, c := range w.Candidates(s.Text) {
			l := lesson{inputs: c.Cues, targets: []int{answer.Refused}, weight: 1, of: i}
			v := sentence.Said(c.Token)
			if slices.ContainsFunc(values, func(x sentence.Value) bool { return x == v || v.Implied(x) }) {
				l.targets[0] = answer.Written
			}
			out = append(out, l)
		}
	}
	return out, nil
}

// aim sets the targets of a lesson. Where nobody said which of several outputs is meant, any of them will do.
func (l *lesson) aim(s *sentence.Sentence) error {
	diary := func() (all []int) {
		for m := range danger.NumMatters {
			all = append(all, m.Output())
		}
		return all
	}
	switch s.Class {
	case 'Q':
		l.targets, l.weight = []int{danger.Seeming}, harder
	case 'H':
		l.targets, l.weight = []int{danger.Nothing}, harder
	case '-':
		l.targets, l.any, l.weight = append(diary(), danger.Nothing), true, plain
	case 'D':
		l.weight = lighter
		values, err := s.Values()
		if err != nil {
			return err
		}
		for _, v := range values {
			if m := danger.MatterOf(v.Field); m < danger.NumMatters && !slices.Contains(l.targets, m.Output()) {
				l.targets = append(l.targets, m.Output())
			}
		}
		if len(l.targets) == 0 {
			l.targets, l.any = diary(), true
		}
	default:
		for _, d := range s.Dangers.All() {
			l.targets = append(l.targets, int(d))
		}
	}
	return nil
}

// want takes from the shares p what they should be: equal ones for the targets of a block, or their own part of what is
// given to all of them together. What has no target is as it should be.
func (l *lesson) want(p *outputs, blocks []answer.Block) {
	end := 0
	for _, b := range blocks {
		end = b.To
		var all float32
		many := 0
		for _, t := range l.targets {
			if t >= b.From && t < b.To {
				all += p[t]
				many++
			}
		}
		if many == 0 {
			clear(p[b.From:b.To])
		}
		for _, t := range l.targets {
			switch {
			case t < b.From || t >= b.To:
			case l.any:
				p[t] -= float32(p[t] / max(all, 1e-6))
			default:
				p[t] -= 1 / float32(many)
			}
		}
	}
	clear(p[end:])
}

// draft is a net being taught: a row of weights for each input that it knows.
type draft struct {
	blocks      []answer.Block // of its outputs
	inputs      []uint32       // of the rows, ascending
	rows        []outputs
	bias        outputs
	squares     []float32 // of what each row was moved by
	biasSquares float32
}

// outputs are a number for each output.
type outputs = [linear.Width]float32

// known replaces inputs by their rows and drops those that have none.
func (d *draft) known(ls []lesson) []lesson {
	out := slices.Clone(ls)
	for i := range out {
		rows := make([]uint32, 0, len(out[i].inputs))
		for _, id := range out[i].inputs {
			if at, ok := slices.BinarySearch(d.inputs, id); ok {
				rows = append(rows, uint32(at))
			}
		}
		out[i].inputs = rows
	}
	return out
}

// train teaches a net on every input that stands in enough sentences: passes over the lessons with AdaGrad (Duchi,
// Hazan, Singer, JMLR 12:2121, 2011), one rate for each input; each time a part of a lesson's inputs is left out
// (Srivastava and others, JMLR 15:1929, 2014); and the weights are the mean of those after each pass of the later half.
func train(ls []lesson, blocks []answer.Block, fewest uint16, unheard float64) *draft {
	d := &draft{blocks: blocks}
	var often [linear.Dims]uint16
	for _, l := range ls {
		if l.beside { // its words were counted
			continue
		}
		for _, id := range l.inputs {
			often[id]++
		}
	}
	for id, n := range often {
		if n >= fewest {
			d.inputs = append(d.inputs, uint32(id))
		}
	}
	d.rows, d.squares, d.biasSquares = make([]outputs, len(d.inputs)), make([]float32, len(d.inputs)), 1
	ls = d.known(ls)
	order := make([]int, len(ls))
	for i := range order {
		order[i] = i
	}
	mean := &draft{inputs: d.inputs, rows: make([]outputs, len(d.inputs))}
	random := rand.New(rand.NewPCG(seedA, seedB))
	var heard []uint32
	for pass := range passes {
		for i := len(order) - 1; i > 0; i-- {
			j := int(random.Uint64() % uint64(i+1))
			order[i], order[j] = order[j], order[i]
		}
		for _, at := range order {
			heard = heard[:0]
			for _, row := range ls[at].inputs {
				if random.Uint64()>>11 >= uint64(unheard*(1<<53)) {
					heard = append(heard, row)
				}
			}
			d.step(heard, &ls[at])
		}
		if pass >= passes/2 {
			mean.add(d, 1/float32(passes-passes/2))
		}
	}
	return mean
}

// add adds a part of another draft's weights.
func (d *draft) add(other *draft, part float32) {
	for i := range d.rows {
		for o, w := range other.rows[i] {
			d.rows[i][o] += float32(w * part)
		}
	}
	for o, w := range other.bias {
		d.bias[o] += float32(w * part)
	}
}

// step moves the weights of what was heard towards the targets. Outputs that are near enough are left alone, which
// spares most of the work.
func (d *draft) step(heard []uint32, l *lesson) {
	root := 1 / float32(math.Sqrt(float64(len(heard)+1)))
	var p outputs
	d.shares(heard, root, &p)
	l.want(&p, d.blocks)
	var off [linear.Width]uint8 // the outputs that are not right, and by how much
	var by outputs
	n, square := 0, float32(0)
	for o, wrong := range p {
		if wrong > rightEnough || wrong < -rightEnough {
			off[n], by[n] = uint8(o), float32(float32(wrong*root)*l.weight)
			square += float32(by[n] * by[n])
			n++
		}
	}
	for _, row := range heard {
		d.squares[row] += square
		step := rate / (float32(math.Sqrt(float64(d.squares[row]))) + 1e-6)
		w := &d.rows[row]
		for i := range n {
			w[off[i]] -= float32(step * by[i])
		}
	}
	d.biasSquares += float32(square * float32(len(heard)+1))
	step := rate / float32(math.Sqrt(float64(d.biasSquares)))
	for i := range n {
		d.bias[off[i]] -= float32(step * float32(by[i]/root))
	}
}

// shares gives the outputs' shares for a lesson.
func (d *draft) shares(rows []uint32, root float32, p *outputs) {
	*p = outputs{}
	for _, row := range rows {
		w := &d.rows[row]
		for o := range p {
			p[o] += w[o]
		}
	}
	for o := range p {
		p[o] = float32(p[o]*root) + d.bias[o]
	}
	for _, b := range d.blocks {
		linear.Softmax(p[b.From:b.To])
	}
}

// form is the draft as it is written down.
func (d *draft) form(scale linear.Scale) *linear.Form {
	f := &linear.Form{Scale: scale, Bias: d.bias, Rows: make([]linear.Row, len(d.inputs))}
	for i, id := range d.inputs {
		f.Rows[i] = linear.Row{Input: id, Weights: d.rows[i]}
	}
	return f
}
