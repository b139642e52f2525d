package cohort

import (
	"fmt"
	"testing"

	"duskdawn/flows"
)

func TestX(t *testing.T) {
	tr := &Trial{Plan: Usual(), Nights: 90, Seed: 1}
	pl := tr.Player()
	rules := map[flows.Rule]int{}
	var ends [NumEnds]int
	sore, sore1, bo, any := 0, 0, 0, 0
	for n := range 2000 {
		o := pl.Live(n)
		ends[o.End]++
		if o.Sore >= 4 {
			sore++
		}
		if o.Sore >= 2 {
			sore1++
		}
		if o.BackOffs > 0 {
			bo++
		}
		if o.Peak > 0 {
			any++
		}
		if o.End == Underway {
			rules[pl.p.Course.Advice.Rule]++
		}
	}
	fmt.Println(ends, rules, sore, sore1, bo, any)
}
