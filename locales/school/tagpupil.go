package school

import (
	"math/rand/v2"
	"slices"

	"duskdawn/locales/answer"
	"duskdawn/locales/matrix"
)

// pupil is a tagger that is being taught.
type pupil struct {
	*answer.Tagger
	pass    answer.Pass
	blocks  []answer.Block
	random  *rand.Rand
	ears    [answer.TagEars]earPupil
	embed   *moving
	touched []uint32  // rows of it that are to be moved
	wrong   []float32 // what is wrong with what each token of a lesson is
	steps   schedule
}

// newPupil knows the inputs of its lessons, and nothing else yet.
func newPupil(ls []tagLesson) *pupil {
	p := &pupil{Tagger: answer.NewTagger(tagInputs(ls)), blocks: answer.WayBlocks(), random: rand.New(rand.NewPCG(seedA, seedB))}
	p.embed = begin(p.Embed, 1, p.random)
	for i := range p.ears {
		p.ears[i] = newEarPupil(&p.Ears[i], p.random)
	}
	return p
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
				p.learn(l)
			}
			p.step(len(some))
		}
	}
	return p.Tagger
}

// learn has each ear hear a lesson in which something is left out, and adds what is wrong with what it made of it to the slopes.
func (p *pupil) learn(l *tagLesson) {
	p.pass.Tokens = l.tokens
	p.Hear(&p.pass)
	p.wrong = answer.Sized(p.wrong, len(l.tokens.All)*answer.TagDims)
	for i := range p.ears {
		e := &p.ears[i]
		e.hear(&l.tokens, p.pass.Embed, p.random)
		e.learn(l, p.blocks)
		matrix.AddScaled(p.wrong, 1, e.wrong)
	}
	for t := range l.tokens.All {
		p.learnToken(t, p.wrong[t*answer.TagDims:(t+1)*answer.TagDims])
	}
}

// learnToken adds to the slopes of what a token is.
func (p *pupil) learnToken(i int, wrong []float32) {
	tokens := &p.pass.Tokens
	t := &tokens.All[i]
	add := func(rows []uint32, k float32) {
		for _, row := range rows {
			matrix.AddScaled(p.embed.slope[row*answer.TagDims:(row+1)*answer.TagDims], k, wrong)
			p.touched = append(p.touched, row)
		}
	}
	add(tokens.Inputs[t.From:t.Letters], 1)
	add(tokens.Inputs[t.Letters:t.To], 1/float32(max(t.To-t.Letters, 1)))
}

// step moves all weights by the slopes of so many lessons.
func (p *pupil) step(lessons int) {
	part := 1 / float32(lessons)
	rate := p.steps.next()
	for i := range p.ears {
		for _, m := range p.ears[i].all {
			m.step(0, len(m.weights), rate, part, &p.steps)
		}
		p.ears[i].turn()
	}
	slices.Sort(p.touched)
	for _, row := range slices.Compact(p.touched) {
		p.embed.step(int(row)*answer.TagDims, int(row+1)*answer.TagDims, rate, part, &p.steps)
	}
	p.touched = p.touched[:0]
}
