package estimate

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/pacing"
)

// Book keeps every night of a course as it was last known, where a course itself
// remembers 28. The zero Book is empty.
type Book []chart.Entry

// Read takes in what a course remembers now. Read after each night, it misses
// none.
func (b *Book) Read(c *pacing.Course) {
	for _, e := range c.Nights[:min(int(c.N), len(c.Nights))] {
		i := len(*b) - 1
		for i >= 0 && (*b)[i].Night > e.Night {
			i--
		}
		if i >= 0 && (*b)[i].Night == e.Night {
			(*b)[i] = e
			continue
		}
		*b = append(*b, chart.Entry{})
		copy((*b)[i+2:], (*b)[i+1:])
		(*b)[i+1] = e
	}
}
