package hearing

import (
	"os"
	"testing"

	"duskdawn/locales/danger/school"
	"duskdawn/locales/sentence"
)

// TestUnseenWriters measures on the sentences that are worked with, each read with a net that was not taught on its
// writer. The rules of the grammar were made with an eye on them, so what it finds flatters; it is for whoever changes
// the reading to see which way that went. It takes a minute, so only with DUSKDAWN_SIEGE=1; -v prints the rates.
func TestUnseenWriters(t *testing.T) {
	if os.Getenv("DUSKDAWN_SIEGE") == "" {
		t.Skip("DUSKDAWN_SIEGE=1 teaches eight nets")
	}
	all, err := sentence.Folder(os.DirFS("../../locales/testdata/sentences/work"))
	if err != nil {
		t.Fatal(err)
	}
	turns, _, err := school.Turns(all)
	if err != nil {
		t.Fatal(err)
	}
	w := words(t)
	var sets []Set
	for _, turn := range turns {
		sets = append(sets, Set{w.HearingWith(turn.Net), turn.Left})
	}
	r, err := MeasureSets(sets)
	if err != nil {
		t.Fatal(err)
	}
	r.Misses = nil
	if err := r.Print(t.Output()); err != nil {
		t.Fatal(err)
	}
	for _, rate := range r.Rates {
		for _, c := range []struct {
			name        string
			share       Share
			least, most float64 // per cent
		}{
			{"E sure or unsure", rate.EHeard, 95, 100}, {"S sure or unsure", rate.SHeard, 92, 100}, {"N heard", rate.NHeard, 80, 100},
			{"harmless, sure", rate.FalseSure, 0, 1.5}, {"diary right", rate.Full, 66, 100}, {"diary wrong", rate.Wrong, 0, 2},
		} {
			if part := 100 * float64(c.share.N) / float64(c.share.Of); part < c.least || part > c.most {
				t.Errorf("%s, %s: %.1f %% is not %.0f to %.1f", rate.Lang, c.name, part, c.least, c.most)
			}
		}
	}
}
