package danger

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/locales/fold"
)

// TestWays gives every answer in words a way of its own question, and none to another's.
func TestWays(t *testing.T) {
	many := Way(0)
	for _, r := range wayRows {
		many += Way(r.many)
	}
	if many != WayNothing {
		t.Fatalf("%d ways, and then that of nothing, which is %d", many, WayNothing)
	}
	of := map[Way]chart.Field{}
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		for n := f.Row().Least; n <= f.Row().Most; n++ {
			w := WayOf(f, chart.Num(n))
			home := f
			switch f {
			case chart.GuideMinutes:
				home = chart.Guide
			case chart.SettingRight:
				home = chart.SettingLeft
			}
			if was, ok := of[w]; w < NumWays && ok && was != home {
				t.Fatalf("%v=%d and %v share a way", f, n, was)
			}
			of[w] = home
		}
	}
	if WayOf(chart.Worn, chart.Unknown) != NumWays || WayOf(chart.Wrong, chart.Num(0)) != NumWays {
		t.Error("what is no answer has a way")
	}
}

// TestHearWays hears what each question is answered with.
func TestHearWays(t *testing.T) {
	n, _, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		text  string
		field chart.Field
		value int
	}{
		{"I did not wear it last night", chart.Worn, chart.WornNo}, {"wore it all night", chart.Worn, chart.WornAll},
		{"no headache this morning", chart.Headache, chart.No}, {"no me la puse", chart.Worn, chart.WornNo},
		{"no pain at all", chart.Pain, 0},
	} {
		h := n.Hear(fold.Text(nil, c.text))
		best := Way(0)
		for w := range h.Way {
			if h.Way[w] > h.Way[best] {
				best = Way(w)
			}
		}
		if best != WayOf(c.field, chart.Num(c.value)) {
			t.Errorf("%q is heard as way %d", c.text, best)
		}
	}
}
