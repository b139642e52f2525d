package school

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/locales/answer"
	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
	"duskdawn/locales/sentence"
)

// How the tagger is taught: passes over the lessons with Adam (Kingma and Ba, ICLR 2015, arXiv:1412.6980) on a few at a time, at
// a rate that falls to nothing; each time some tokens are not heard at all, and a part of the numbers is left out (Srivastava
// and others, JMLR 15:1929, 2014).
const (
	tagPasses     = 12
	tagTogether   = 16
	tagRate       = 3e-3
	fewestWords   = 9  // sentences a word must stand in to be heard
	fewestLetters = 60 // ... a run of letters
	deafToken     = 0.08
	deafNumber    = 0.15
	inTwos        = 0.4 // share of lessons behind which another one is heard (tagjoin.go)
)

// tagLesson is a sentence as the tagger hears it.
type tagLesson struct {
	tokens answer.Tokens
	ways   []int   // the way in which each question is answered; -1 where that is not plain
	roles  [][]int // of each figure: any of them will do
	of     int     // the sentence, of those that were read
}

// tagLessons hears every diary sentence, and every one that is no danger.
func tagLessons(all []sentence.Sentence) ([]tagLesson, error) {
	blocks := answer.WayBlocks()
	var out []tagLesson
	for i := range all {
		s := &all[i]
		if !telling(s) {
			continue
		}
		tokens, figures, clocks, ok, err := answer.TokensOf(fold.Text(nil, s.Text))
		if err != nil {
			return nil, err
		}
		if !ok || len(tokens.All) == 0 {
			continue
		}
		values, err := s.Values()
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", s.File, s.Line, err)
		}
		l := tagLesson{tokens: tokens, of: i}
		for _, b := range blocks {
			way, ok := wayTarget(values, b)
			if !ok {
				way = -1
			}
			l.ways = append(l.ways, way)
		}
		from, to := worn(clocks, values)
		for k := range figures {
			has := func(c *answer.Clock) bool { return c.Has(&figures[k]) }
			switch {
			case slices.ContainsFunc(from, has):
				l.roles = append(l.roles, []int{int(answer.RoleFrom)})
			case slices.ContainsFunc(to, has):
				l.roles = append(l.roles, []int{int(answer.RoleTo)})
			default:
				l.roles = append(l.roles, rolesOf(&figures[k], values))
			}
		}
		out = append(out, l)
	}
	return out, nil
}

// worn finds the times of day between which it was worn: two that make the hours of a night, where no other two do as plainly.
func worn(clocks []answer.Clock, values []sentence.Value) (from, to []*answer.Clock) {
	for _, v := range values {
		if v.Field != chart.WornMinutes {
			continue
		}
		at, many, least := 0, 0, 3
		for i := 1; i < len(clocks); i++ {
			bare := 0
			for _, c := range clocks[i-1 : i+1] {
				if c.Bare {
					bare++
				}
			}
			minutes, ok := clocks[i-1].Worn(&clocks[i])
			switch {
			case !ok || !v.Answer.Is(minutes) || bare > least:
			case bare < least: // it may count something else
				at, many, least = i, 1, bare
			default:
				many++
			}
		}
		if many == 1 {
			from, to = append(from, &clocks[at-1]), append(to, &clocks[at])
		}
	}
	return from, to
}

// rolesOf are the roles of a figure where these values are to be written. Of two questions that it answers either will do.
func rolesOf(g *answer.Figure, values []sentence.Value) (roles []int) {
	for _, v := range values {
		if r := answer.RoleOf(v.Field); r != answer.RoleNone && g.Means(v.Field, v.Answer) && !slices.Contains(roles, int(r)) {
			roles = append(roles, int(r))
		}
	}
	if len(roles) == 0 {
		roles = []int{int(answer.RoleNone)}
	}
	return roles
}

// tagInputs are the inputs that stand in enough lessons, ascending.
func tagInputs(ls []tagLesson) (inputs []uint32) {
	words, letters := make([]int, linear.Dims), make([]int, linear.Dims)
	for i := range ls {
		t := &ls[i].tokens
		for _, token := range t.All {
			for j := token.From; j < token.To; j++ {
				if j < token.Letters {
					words[t.Inputs[j]]++
				} else {
					letters[t.Inputs[j]]++
				}
			}
		}
	}
	for id := range uint32(linear.Dims) {
		if words[id] >= fewestWords || letters[id] >= fewestLetters {
			inputs = append(inputs, id)
		}
	}
	return inputs
}

// pupil is a tagger that is being taught.
type pupil struct {
	*answer.Tagger
	pass   answer.Pass
	blocks []answer.Block
	random *rand.Rand
	dense  []*moving // all weights but those of what tokens are
	layers [answer.TagLayers]struct {
		weights *across
		bias    *moving
	}
	token   *across
	text    struct{ weights, bias *moving }
	embed   *moving
	touched []uint32 // rows of it that are to be moved
	kept    [answer.TagLayers + 1][]float32
	unheard []bool
	back    backward
	steps   schedule
}

// moving are weights, and what moves them.
type moving struct{ weights, slope, mean, square []float32 }

func move(weights []float32) *moving {
	n := len(weights)
	return &moving{weights, make([]float32, n), make([]float32, n), make([]float32, n)}
}

// across are weights whose rows are those of an output, while they are taught: what is wrong with one is learnt in whole rows. The
// tagger has them the other way round.
type across struct {
	*moving
	turned []float32
}

// turn gives the tagger what was learnt.
func (a *across) turn(outputs int) {
	heard := len(a.weights) / outputs
	for o := range outputs {
		for i, w := range a.weights[o*heard : (o+1)*heard] {
			a.turned[i*outputs+o] = w
		}
	}
}

// newPupil knows the inputs of its lessons, and nothing else yet.
func newPupil(ls []tagLesson) *pupil {
	p := &pupil{Tagger: answer.NewTagger(tagInputs(ls)), blocks: answer.WayBlocks(), random: rand.New(rand.NewPCG(seedA, seedB))}
	begin := func(weights []float32, size float64) *moving {
		for i := range weights {
			weights[i] = float32((p.random.Float64() - 0.5) * size)
		}
		return move(weights)
	}
	p.embed = begin(p.Embed, 1)
	for i := range p.Layers {
		l := &p.Layers[i]
		size := math.Sqrt(24 / float64(len(l.Weights)/len(l.Bias))) // He and others, ICCV 2015, doi:10.1109/ICCV.2015.123
		p.layers[i].weights, p.layers[i].bias = &across{begin(make([]float32, len(l.Weights)), size), l.Weights}, move(l.Bias)
		p.dense = append(p.dense, p.layers[i].weights.moving, p.layers[i].bias)
	}
	p.token = &across{begin(make([]float32, len(p.Token.Weights)), math.Sqrt(12/float64(answer.TagHidden))), p.Token.Weights}
	p.text.weights, p.text.bias = move(p.Text.Weights), move(p.Text.Bias)
	p.dense = append(p.dense, p.token.moving, p.text.weights, p.text.bias)
	p.turn()
	return p
}

// turn gives the tagger what was learnt.
func (p *pupil) turn() {
	for i := range p.layers {
		p.layers[i].weights.turn(answer.TagHidden)
	}
	p.token.turn(answer.TagOut)
}

// teachTagger teaches a tagger.
func teachTagger(ls []tagLesson) *answer.Tagger {
	p := newPupil(ls)
	ls = slices.Clone(ls)
	order := make([]int, len(ls))
	for i := range ls {
		t := &ls[i].tokens
		*t = answer.Tokens{Inputs: slices.Clone(t.Inputs), All: slices.Clone(t.All)}
		t.Know(p.Rows)
		order[i] = i
	}
	p.steps.all = tagPasses * ((len(ls) + tagTogether - 1) / tagTogether)
	for range tagPasses {
		for i := len(order) - 1; i > 0; i-- {
			j := int(p.random.Uint64() % uint64(i+1))
			order[i], order[j] = order[j], order[i]
		}
		for some := range slices.Chunk(order, tagTogether) {
			for _, at := range some {
				l := &ls[at]
				if p.random.Float64() < inTwos {
					l = p.joined(l, &ls[p.random.IntN(len(ls))])
				}
				p.pass.Tokens = l.tokens
				p.hear()
				p.learn(l)
			}
			p.step(len(some))
		}
	}
	return p.Tagger
}

// hear runs a pass in which something is left out.
func (p *pupil) hear() {
	p.unheard = p.unheard[:0]
	for range p.pass.Tokens.All {
		p.unheard = append(p.unheard, p.random.Float64() < deafToken)
	}
	p.Run(&p.pass, func(layer int, values []float32) {
		if layer > 0 && layer < answer.TagLayers {
			return
		}
		kept := p.kept[layer][:0]
		for i := range values {
			k := float32(0)
			if p.random.Float64() >= deafNumber && (layer > 0 || !p.unheard[i/answer.TagDims]) {
				k = 1 / (1 - deafNumber)
			}
			values[i] *= k
			kept = append(kept, k)
		}
		p.kept[layer] = kept
	})
}

// schedule counts the steps, and what is left of the first means of 0 in those of the slopes.
type schedule struct {
	done, all     int
	mean, squares float32
}

// Adam's part of the old in the means of slopes and of their squares.
const (
	oldMean   = 0.9
	oldSquare = 0.999
)

// step moves all weights by the slopes of so many lessons.
func (p *pupil) step(lessons int) {
	s := &p.steps
	if s.done == 0 {
		s.mean, s.squares = 1, 1
	}
	s.done++
	s.mean, s.squares = s.mean*oldMean, s.squares*oldSquare
	rate := float32(tagRate * float32(s.all-s.done+1) / float32(s.all))
	part := 1 / float32(lessons)
	for _, m := range p.dense {
		m.step(0, len(m.weights), rate, part, s)
	}
	p.turn()
	slices.Sort(p.touched)
	for _, row := range slices.Compact(p.touched) {
		p.embed.step(int(row)*answer.TagDims, int(row+1)*answer.TagDims, rate, part, s)
	}
	p.touched = p.touched[:0]
}

func (m *moving) step(from, to int, rate, part float32, s *schedule) {
	rate /= 1 - s.mean
	for i := from; i < to; i++ {
		slope := m.slope[i] * part
		m.slope[i] = 0
		m.mean[i] = float32(oldMean*m.mean[i]) + float32((1-oldMean)*slope)
		m.square[i] = float32(oldSquare*m.square[i]) + float32((1-oldSquare)*float32(slope*slope))
		root := float32(math.Sqrt(float64(m.square[i] / (1 - s.squares))))
		m.weights[i] -= float32(rate*m.mean[i]) / (root + 1e-8)
	}
}
