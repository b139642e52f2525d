package school

import (
	"slices"

	"duskdawn/locales/answer"
)

// People say several things in one message, in any order. So some lessons are two sentences behind one another: whatever the one
// answers, the other one does not change it.

// mostJoined is the most tokens of two sentences that are heard as one.
const mostJoined = 60

// joins are what stands between two sentences, each as likely.
var joins = [...]string{".", ".", ".", ".", ",", ",", ",", ",", "\n", ""}

// joined is a lesson of two sentences, one behind the other, whose inputs are rows; the first alone where they are too long. A question
// that both answer, each in another way, is left alone.
func (p *pupil) joined(a, b *tagLesson) *tagLesson {
	mark := joins[p.random.IntN(len(joins))]
	if len(a.tokens.All)+len(b.tokens.All) >= mostJoined {
		return a
	}
	tokens := answer.Tokens{Inputs: slices.Clone(a.tokens.Inputs), All: slices.Clone(a.tokens.All)}
	if mark != "" {
		between := answer.Mark(mark[0])
		between.Know(p.Rows)
		tokens.Append(&between)
	}
	tokens.Append(&b.tokens)
	l := &tagLesson{tokens: tokens, roles: slices.Concat(a.roles, b.roles)}
	for i, block := range p.blocks {
		open := block.To - 1
		switch one, two := a.ways[i], b.ways[i]; {
		case one == open:
			l.ways = append(l.ways, two)
		case two == open, two == one:
			l.ways = append(l.ways, one)
		default:
			l.ways = append(l.ways, -1)
		}
	}
	return l
}
