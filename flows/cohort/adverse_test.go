package cohort

import (
	"fmt"
	"sort"
	"testing"
)

func TestA(t *testing.T) {
	tr := &Trial{Plan: Usual(), Nights: 120, Seed: 1, Adverse: true}
	pl := tr.Player()
	var ends [NumEnds]int
	var br [NumPromises]int
	fw, tw, esc := 0, 0, 0
	firsts := map[string]int{}
	for n := range 500 {
		o := pl.Live(n)
		ends[o.End]++
		fw += o.Forward
		tw += o.Twins
		esc += o.Escalations
		for i := range br {
			br[i] += o.Breaches[i]
		}
		if o.First != "" {
			firsts[fmt.Sprint(n, " ", o.First)]++
		}
	}
	fmt.Println(ends, br, fw, tw, esc)
	var ks []string
	for k := range firsts {
		ks = append(ks, k)
	}
	sort.Strings(ks)
	for i, k := range ks {
		if i < 25 {
			fmt.Println(k)
		}
	}
}
