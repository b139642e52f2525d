package answer

import "sync"

// Tags are what a tagger hears of a text.
type Tags struct {
	Way     [NumWays]float32 // how likely it answers each question in each way
	Least   [NumWays]float32 // ... to the ear that believes it least
	At      [NumWays]int     // which token says so most
	Unheard int              // words that were not taught
	Figures []Figure         // its numbers, and what each answers
	Clocks  []Clock          // its times of day
}

var passes = sync.Pool{New: func() any { return new(Pass) }}

// Tag hears what a folded text answers; of one that is too long nothing.
func (n *Net) Tag(text []byte) (tags Tags) {
	p := passes.Get().(*Pass)
	defer passes.Put(p)
	figures, times, ok := p.Tokens.of(text, n.numbers)
	if !ok || len(p.Tokens.All) == 0 {
		return tags
	}
	p.Tokens.Know(n.tagger.Rows)
	for _, t := range p.Tokens.All {
		tags.Unheard += btoi(t.From == t.Letters && !t.Figure)
	}
	n.tagger.Run(p)
	copy(tags.Way[:], p.Ways)
	copy(tags.Least[:], p.Ears[0].Ways)
	for e := range p.Ears {
		for w, share := range p.Ears[e].Ways {
			tags.Least[w] = min(tags.Least[w], share)
		}
	}
	copy(tags.At[:], p.WayAt)
	for i := range figures {
		g := &figures[i]
		copy(g.Share[:], p.Roles[i*int(NumRoles):])
		g.Least = g.Share
		for e := range p.Ears {
			for r := range g.Least {
				g.Least[r] = min(g.Least[r], p.Ears[e].Roles[i*int(NumRoles)+r])
			}
		}
	}
	tags.Figures, tags.Clocks = figures, times
	return tags
}
