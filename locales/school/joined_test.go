package school

import (
	"slices"
	"testing"

	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
	"duskdawn/locales/sentence"
)

// TestJoinedLessons teaches a danger, and what seems one, beside what the same writer answers; the words of it count once.
func TestJoinedLessons(t *testing.T) {
	var all []sentence.Sentence
	for range 40 {
		all = append(all,
			sentence.Sentence{File: "en.a.tsv", Class: 'E', Dangers: reading.SetOf(reading.DangerFaint), Text: "I passed out"},
			sentence.Sentence{File: "en.a.tsv", Class: 'D', Text: "pain 3", Expected: "pain=3"},
			sentence.Sentence{File: "en.a.tsv", Class: 'Q', Text: "is it normal to faint"},
			sentence.Sentence{File: "en.b.tsv", Class: 'E', Dangers: reading.SetOf(reading.DangerChest), Text: "my chest hurts"},
			sentence.Sentence{File: "en.b.tsv", Class: '-', Text: "good"})
	}
	ls, err := joinedLessons(all)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[byte]int{}
	for _, l := range ls {
		s := &all[l.of]
		want := []int{int(reading.DangerFaint)}
		switch s.Class {
		case 'Q':
			want = []int{danger.Seeming, danger.MatterPain.Output()}
		case 'D':
			want = []int{danger.MatterPain.Output()}
		}
		slices.Sort(want)
		if s.File != "en.a.tsv" || !l.beside || !slices.Equal(l.targets, want) {
			t.Fatalf("%+v beside another: %+v, want %v", s, l, want)
		}
		seen[s.Class]++
	}
	if seen['E'] < 20 || seen['Q'] < 20 || seen['D'] == 0 {
		t.Errorf("%v", seen)
	}
	if d := train(ls, nil, 1, 0); len(d.inputs) != 0 {
		t.Errorf("%d inputs of sentences that were counted", len(d.inputs))
	}
}
