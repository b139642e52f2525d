package school

import (
	"math"
	"math/rand/v2"
	"slices"

	"duskdawn/locales/answer"
	"duskdawn/locales/matrix"
)

// earPupil is an ear that is being taught.
type earPupil struct {
	*answer.Ear
	pass        answer.EarPass
	tokens      *answer.Tokens
	layers      [answer.EarLayers]sums
	token, text sums
	all         []*moving
	unheard     []bool
	kept        [answer.EarLayers + 1][]float32 // what was made of each number that was heard
	wrong       []float32                       // what is wrong with what each token is, after learn
	said, below []float32                       // ... with what it says, and with what was made a layer below
	deafToken   float64                         // share of tokens that are left out
	deafNumber  float64                         // ... of numbers
}

// sums are dense sums that are being taught; turned has a row of weights for each output, place by place.
type sums struct {
	weights, bias *moving
	turned        []float32
	places        int
}

func newEarPupil(e *answer.Ear, random *rand.Rand) earPupil {
	p := earPupil{Ear: e, deafToken: deafToken, deafNumber: deafNumber}
	learn := func(d *answer.Dense, places int, size float64) sums {
		s := sums{begin(d.Weights, size, random), move(d.Bias), make([]float32, len(d.Weights)), places}
		p.all = append(p.all, s.weights, s.bias)
		return s
	}
	for i := range e.Layers {
		d := &e.Layers[i]
		size := math.Sqrt(24 / float64(len(d.Weights)/len(d.Bias))) // He and others, ICCV 2015, doi:10.1109/ICCV.2015.123
		p.layers[i] = learn(d, len(answer.EarPlaces[i]), size)
	}
	p.token, p.text = learn(&e.Token, 1, math.Sqrt(12/float64(answer.EarHidden))), learn(&e.Text, 1, 0)
	p.all = slices.DeleteFunc(p.all, func(m *moving) bool { return m == p.token.bias }) // that of the text does
	p.turn()
	return p
}

// turn keeps what was learnt the other way round, too.
func (p *earPupil) turn() {
	for i := range p.layers {
		p.layers[i].turn()
	}
	p.token.turn()
	p.text.turn()
}

func (s *sums) turn() {
	outputs := len(s.bias.weights)
	heard := len(s.weights.weights) / outputs / s.places
	for k := range s.places {
		from, to := s.weights.weights[k*heard*outputs:], s.turned[k*heard*outputs:]
		for i := range heard {
			for o, w := range from[i*outputs : (i+1)*outputs] {
				to[o*heard+i] = w
			}
		}
	}
}

// learn adds to the slopes what is wrong with n sums of what was heard at a place, and to before what is wrong with what was heard.
func (s *sums) learn(place int, wrong, heard, before []float32, n int) {
	outputs := len(s.bias.weights)
	each := len(s.turned) / s.places
	size := each / outputs
	matrix.AddTurned(s.weights.slope[place*each:], heard, wrong, size, n, outputs)
	matrix.Add(before, wrong, s.turned[place*each:], n, outputs, size)
}

// learnBias adds to the slopes of what is said where nothing is heard.
func (s *sums) learnBias(wrong []float32) {
	for some := range slices.Chunk(wrong, len(s.bias.slope)) {
		matrix.AddScaled(s.bias.slope, 1, some)
	}
}

// hear runs a pass in which something is left out.
func (p *earPupil) hear(tokens *answer.Tokens, embed []float32, random *rand.Rand) {
	p.tokens, p.unheard = tokens, p.unheard[:0]
	for range tokens.All {
		p.unheard = append(p.unheard, random.Float64() < p.deafToken)
	}
	p.Run(&p.pass, tokens, embed, func(layer int, values []float32) {
		if layer > 0 && layer < answer.EarLayers {
			return
		}
		kept := p.kept[layer][:0]
		for i := range values {
			k := float32(0)
			if random.Float64() >= p.deafNumber && (layer > 0 || !p.unheard[i/answer.TagDims]) {
				k = float32(1 / (1 - p.deafNumber))
			}
			values[i] *= k
			kept = append(kept, k)
		}
		p.kept[layer] = kept
	})
}

// learn adds to the slopes what is wrong with a pass that heard a lesson.
func (p *earPupil) learn(l *tagLesson, blocks []answer.Block) {
	pass := &p.pass
	n := len(p.tokens.All)
	p.said = answer.Sized(p.said, n*answer.TagOut)
	text := p.missed(l, blocks)
	p.text.learnBias(text[:])
	var top [answer.EarHidden]float32
	p.text.learn(0, text[:], pass.Top, top[:], 1)
	p.wrong = answer.Sized(p.wrong, n*answer.EarHidden)
	p.token.learn(0, p.said, pass.Hidden[answer.EarLayers-1], p.wrong, n)
	for o, w := range top {
		p.wrong[pass.TopAt[o]*answer.EarHidden+o] += w
	}
	multiply(p.wrong, p.kept[answer.EarLayers])
	for layer := answer.EarLayers - 1; layer >= 0; layer-- {
		p.learnLayer(layer)
	}
	multiply(p.wrong, p.kept[0])
}

// missed makes of the shares of a pass what is wrong with them: for each token in said, and for the text.
func (p *earPupil) missed(l *tagLesson, blocks []answer.Block) (text [answer.TagOut]float32) {
	pass := &p.pass
	for i, block := range blocks {
		if l.ways[i] < 0 {
			continue
		}
		for w := block.From; w < block.To; w++ {
			off := pass.Ways[w]
			if w == l.ways[i] {
				off--
			}
			if off > rightEnough || off < -rightEnough {
				text[w] = off
				p.said[pass.WayAt[w]*answer.TagOut+w] = off
			}
		}
	}
	figure := 0
	for i := range p.tokens.All {
		if !p.tokens.All[i].Figure {
			continue
		}
		shares, roles := pass.Roles[figure*int(answer.NumRoles):(figure+1)*int(answer.NumRoles)], l.roles[figure]
		var all float32
		for _, r := range roles {
			all += shares[r]
		}
		for r, off := range shares {
			if slices.Contains(roles, r) {
				off -= off / max(all, 1e-6)
			}
			text[int(answer.NumWays)+r] += off
			p.said[i*answer.TagOut+int(answer.NumWays)+r] = off
		}
		figure++
	}
	return text
}

// learnLayer adds to the slopes of a layer, and leaves what is wrong with what it heard.
func (p *earPupil) learnLayer(layer int) {
	pass := &p.pass
	n, size := len(p.tokens.All), answer.EarLayer(layer)
	p.below = answer.Sized(p.below, n*size)
	before := pass.Embed
	if layer > 0 {
		matrix.AddScaled(p.below, 1, p.wrong)
		before = pass.Hidden[layer-1]
	}
	for i, v := range pass.Made[layer] {
		if v == 0 {
			p.wrong[i] = 0
		}
	}
	s := &p.layers[layer]
	s.learnBias(p.wrong)
	for k, off := range answer.EarPlaces[layer] {
		if from, to := answer.Within(n, off); from < to {
			s.learn(k, p.wrong[from*answer.EarHidden:to*answer.EarHidden], before[(from+off)*size:], p.below[(from+off)*size:], to-from)
		}
	}
	p.wrong, p.below = p.below, p.wrong
}

func multiply(values, by []float32) {
	for i := range values {
		values[i] *= by[i]
	}
}
