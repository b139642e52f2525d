package pacing

import (
	"duskdawn/flows/chart"
)

// Kept is a snoring score at a setting, of a night that is remembered no longer.
type Kept struct {
	At    chart.Steps
	Score int
}

// HeardBy lists a reporter's scores that are kept of such nights, at most four a
// setting, in no order of time.
func (c *Course) HeardBy(by chart.Answer) (out []Kept) {
	for _, h := range c.Heard {
		if h>>20&15 != uint32(by.N()&15) || !by.Known() {
			continue
		}
		for s := h & 0xFFFF; s != 0; s >>= 4 {
			out = append(out, Kept{chart.Steps(h >> 24), int(s&15) - 1})
		}
	}
	return out
}
