// Package school teaches the net of package danger on labelled sentences. It works the same way on every machine, to
// the last bit: fixed order and seeds, float32 with every step rounded, sums in a fixed order.
package school

import (
	"math"
	"math/rand/v2"
	"slices"

	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
	"duskdawn/locales/sentence"
)

// lesson is one sentence as the net hears it.
type lesson struct {
	inputs  []uint32
	targets []int // the outputs that are meant, with equal shares
	weight  float32
}

// How it is taught: found by leaving writers out, one change at a time.
var (
	passes              = 8
	rate        float32 = 0.3
	harder      float32 = 1.5 // what a sentence weighs that is harmless or only seems dangerous
	fewest      uint16  = 2   // sentences an input must stand in
	maxRows             = 60_000
	least       float32 = 0.12 // the least weight that is written down
	greatest    float32 = 4    // the greatest
	rightEnough float32 = 0.002
)

const seedA, seedB = 20_261_103, 7

// lessons hears every sentence.
func lessons(all []sentence.Sentence) ([]lesson, error) {
	out := make([]lesson, len(all))
	for i := range all {
		s := &all[i]
		ids, err := danger.Inputs(fold.Text(nil, s.Text))
		if err != nil {
			return nil, err
		}
		out[i] = lesson{inputs: ids, weight: 1}
		switch s.Class {
		case 'Q':
			out[i].targets, out[i].weight = []int{danger.Seeming}, harder
		case 'H':
			out[i].targets, out[i].weight = []int{danger.Nothing}, harder
		case 'D', '-':
			out[i].targets = []int{danger.Nothing}
		default:
			for _, d := range s.Dangers.All() {
				out[i].targets = append(out[i].targets, int(d))
			}
		}
	}
	return out, nil
}

// draft is a net being taught: a row of weights for each input that it knows.
type draft struct {
	inputs []uint32 // of the rows, ascending
	rows   [][danger.Outputs]float32
	bias   [danger.Outputs]float32
}

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

// train teaches a net: once on every input that stands in enough sentences, then again on those that came to weigh
// most, so that what is written down is what was taught.
func train(ls []lesson) *draft {
	var often [1 << 18]uint16
	for _, l := range ls {
		for _, id := range l.inputs {
			often[id]++
		}
	}
	d := &draft{}
	for id, n := range often {
		if n >= fewest {
			d.inputs = append(d.inputs, uint32(id))
		}
	}
	d.teach(ls)
	if len(d.inputs) > maxRows {
		d.keep(maxRows)
		d.teach(ls)
	}
	return d
}

// keep drops all but the inputs that weigh most.
func (d *draft) keep(most int) {
	size := make([]float32, len(d.inputs))
	for i := range size {
		for _, w := range d.rows[i] {
			size[i] += float32(w * w)
		}
	}
	sorted := slices.Clone(size)
	slices.Sort(sorted)
	bar := sorted[len(sorted)-most]
	kept := d.inputs[:0]
	for i, id := range d.inputs {
		if size[i] >= bar && len(kept) < most {
			kept = append(kept, id)
		}
	}
	d.inputs = kept
}

// teach runs over the lessons with AdaGrad (Duchi, Hazan, Singer, JMLR 12:2121, 2011), one rate for each input. Outputs
// that are as good as right are left alone, which spares most of the work.
func (d *draft) teach(ls []lesson) {
	const k = danger.Outputs
	ls = d.known(ls)
	d.rows, d.bias = make([][k]float32, len(d.inputs)), [k]float32{}
	squares := make([]float32, len(d.inputs))
	biasSquares := float32(1)
	order := make([]int, len(ls))
	for i := range order {
		order[i] = i
	}
	random := rand.New(rand.NewPCG(seedA, seedB))
	var p [k]float32
	var off [k]uint8 // the outputs that are not right, and by how much
	var by [k]float32
	for range passes {
		for i := len(order) - 1; i > 0; i-- {
			j := int(random.Uint64() % uint64(i+1))
			order[i], order[j] = order[j], order[i]
		}
		for _, at := range order {
			l := &ls[at]
			root := 1 / float32(math.Sqrt(float64(len(l.inputs)+1)))
			d.shares(l.inputs, root, &p)
			for _, t := range l.targets {
				p[t] -= 1 / float32(len(l.targets))
			}
			n, square := 0, float32(0)
			for o, wrong := range p {
				if wrong > rightEnough || wrong < -rightEnough {
					off[n], by[n] = uint8(o), float32(float32(wrong*root)*l.weight)
					square += float32(by[n] * by[n])
					n++
				}
			}
			for _, row := range l.inputs {
				squares[row] += square
				step := rate / (float32(math.Sqrt(float64(squares[row]))) + 1e-6)
				w := &d.rows[row]
				for i := range n {
					w[off[i]] -= float32(step * by[i])
				}
			}
			biasSquares += float32(square * float32(len(l.inputs)+1))
			step := rate / float32(math.Sqrt(float64(biasSquares)))
			for i := range n {
				d.bias[off[i]] -= float32(step * float32(by[i]/root))
			}
		}
	}
}

// shares gives the outputs' shares for a lesson.
func (d *draft) shares(rows []uint32, root float32, p *[danger.Outputs]float32) {
	*p = [danger.Outputs]float32{}
	for _, row := range rows {
		w := &d.rows[row]
		for o := range p {
			p[o] += w[o]
		}
	}
	for o := range p {
		p[o] = float32(p[o]*root) + d.bias[o]
	}
	danger.Softmax(p[:])
}

// form writes the weights as bytes: those below the least are left out, those above the greatest are cut to it.
func (d *draft) form() *danger.Form {
	f := &danger.Form{Scale: float32(greatest) / 127, Bias: d.bias, Rows: make([]danger.Row, len(d.inputs))}
	for i, id := range d.inputs {
		f.Rows[i].Input = id
		for o, w := range d.rows[i] {
			if w >= least || w <= -least {
				f.Rows[i].Weights[o] = int8(math.RoundToEven(float64(min(max(w, -greatest), greatest) / f.Scale)))
			}
		}
	}
	return f
}
