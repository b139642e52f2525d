package hearing

import (
	"os"
	"testing"

	"duskdawn/locales/school"
	"duskdawn/locales/sentence"
)

// BenchmarkUnseenWriters measures on the sentences that are worked with, each read with nets that were not taught on its
// writer, and prints the rates. The rules of the grammar were made with an eye on some of them, so what it finds
// flatters; it is for whoever changes the reading to see which way that went. It teaches eight nets, ten minutes the first time and two where the
// taggers are kept:
// go test -run xxx -bench UnseenWriters -benchtime 1x ./bot/hearing
func BenchmarkUnseenWriters(b *testing.B) {
	all, err := sentence.Folder(os.DirFS("../../locales/testdata/sentences/work"))
	if err != nil {
		b.Fatal(err)
	}
	keep, err := school.Kept(os.DirFS("../../locales"))
	if err != nil {
		b.Fatal(err)
	}
	w := words(b)
	for b.Loop() {
		turns, _, err := school.Turns(all, keep)
		if err != nil {
			b.Fatal(err)
		}
		var sets []Set
		for _, turn := range turns {
			sets = append(sets, Set{w.HearingWith(turn.Nets), turn.Left})
		}
		r, err := MeasureSets(sets)
		if err != nil {
			b.Fatal(err)
		}
		r.Misses = nil
		if err := r.Print(os.Stderr); err != nil {
			b.Fatal(err)
		}
	}
}
