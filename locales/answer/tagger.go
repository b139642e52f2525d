package answer

import "duskdawn/locales/matrix"

// A tagger hears a text in the order of its words: what stands around a word decides what it says, not what else the text
// tells of. It hears which question each figure answers, and in which way each question is answered. Several ears hear the same
// words, each taught from another beginning, and it believes the mean of them: where they differ it is less sure (Lakshminarayanan
// and others, NeurIPS 2017, arXiv:1612.01474).

// The shape of a tagger.
const (
	TagEars = 3
	TagDims = 40                           // numbers that stand for what a token is
	TagOut  = int(NumWays) + int(NumRoles) // ways, then roles of figures
)

// Tagger is the weights of a tagger. It never changes and may be used by any number of goroutines.
type Tagger struct {
	Rows  map[uint32]uint32 // the row of each input that it knows
	Embed []float32         // TagDims numbers a row
	Ears  [TagEars]Ear
}

// NewTagger is a tagger of these inputs whose weights are all 0.
func NewTagger(inputs []uint32) *Tagger {
	t := &Tagger{Rows: make(map[uint32]uint32, len(inputs)), Embed: make([]float32, len(inputs)*TagDims)}
	for row, id := range inputs {
		t.Rows[id] = uint32(row)
	}
	for i := range t.Ears {
		t.Ears[i] = newEar()
	}
	return t
}

// Pass is all that a tagger makes of a text.
type Pass struct {
	Tokens Tokens
	Embed  []float32 // what each token is
	Ears   [TagEars]EarPass
	Ways   []float32 // how likely each way is
	WayAt  []int     // the token that says it most, to the ear that hears it most
	Roles  []float32 // how likely each role is, of one figure after another
}

// Run hears the tokens of a pass, whose inputs are rows.
func (t *Tagger) Run(p *Pass) {
	t.Hear(p)
	p.Ways, p.WayAt, p.Roles = Sized(p.Ways, int(NumWays)), Sized(p.WayAt, int(NumWays)), p.Roles[:0]
	var most [NumWays]float32
	for i := range t.Ears {
		e := &p.Ears[i]
		t.Ears[i].Run(e, &p.Tokens, p.Embed, nil)
		matrix.AddScaled(p.Ways, 1.0/TagEars, e.Ways)
		for w, share := range e.Ways {
			if share > most[w] {
				most[w], p.WayAt[w] = share, e.WayAt[w]
			}
		}
		p.Roles = append(p.Roles, make([]float32, len(e.Roles)-len(p.Roles))...)
		matrix.AddScaled(p.Roles, 1.0/TagEars, e.Roles)
	}
}

// Hear adds up what is known of each token: what it is, and the mean of its letters.
func (t *Tagger) Hear(p *Pass) {
	p.Embed = Sized(p.Embed, len(p.Tokens.All)*TagDims)
	for i := range p.Tokens.All {
		token, out := &p.Tokens.All[i], p.Embed[i*TagDims:(i+1)*TagDims]
		for _, row := range p.Tokens.Inputs[token.From:token.Letters] {
			matrix.AddScaled(out, 1, t.Embed[row*TagDims:(row+1)*TagDims])
		}
		part := 1 / float32(max(token.To-token.Letters, 1))
		for _, row := range p.Tokens.Inputs[token.Letters:token.To] {
			matrix.AddScaled(out, part, t.Embed[row*TagDims:(row+1)*TagDims])
		}
	}
}

// Sized is a slice of n zeros, in the same memory where it is large enough.
func Sized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}
