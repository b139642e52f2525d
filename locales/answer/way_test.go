package answer

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/locales/fold"
)

// TestWays gives every answer in words a way of its own question, and none to another's.
func TestWays(t *testing.T) {
	blocks := WayBlocks()
	if end := blocks[len(blocks)-1].To; end != int(NumWays) {
		t.Fatalf("%d ways of %d", end, NumWays)
	}
	for i, r := range wayRows {
		if WayOpen(r.field) != Way(blocks[i].To-1) {
			t.Errorf("%v is left open in way %d", r.field, WayOpen(r.field))
		}
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
	if WayOf(chart.Worn, chart.Unknown) != NumWays || WayOf(chart.Unusual, chart.Num(0)) != NumWays {
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
		h := n.Tag(fold.Text(nil, c.text))
		if way := WayOf(c.field, chart.Num(c.value)); h.Way[way] < 0.5 {
			t.Errorf("%q: %.2f", c.text, h.Way[way])
		}
		for _, b := range WayBlocks() {
			var all float32
			for w := b.From; w < b.To; w++ {
				all += h.Way[w]
			}
			if all < 0.999 || all > 1.001 {
				t.Errorf("%q: the ways of one question make %v", c.text, all)
			}
		}
	}
}
