package school

import (
	"os"
	"slices"
	"strings"
	"testing"

	"duskdawn/locales/fold"
	"duskdawn/locales/sentence"
)

// sentencesIn reads a part of the sentences.
func sentencesIn(t *testing.T, part string) []sentence.Sentence {
	t.Helper()
	all, err := sentence.Folder(os.DirFS("../../testdata/sentences/" + part))
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// bag is the words of a text, folded and sorted: two texts of the same words are one.
func bag(text string) string {
	words := strings.FieldsFunc(string(fold.Text(nil, text)), func(r rune) bool {
		return r < 0x80 && !fold.IsLetter(byte(r)) && !fold.IsDigit(byte(r))
	})
	switch {
	case len(words) == 0:
		return text
	case len(words) > 5:
		slices.Sort(words)
	}
	return strings.Join(words, " ")
}

// TestPartsApart keeps the sentences that measure apart from those that teach: no text in both, no voice in both, and
// no order of the same words.
func TestPartsApart(t *testing.T) {
	work, exam := sentencesIn(t, "work"), sentencesIn(t, "exam")
	texts, voices := map[string]bool{}, map[string]bool{}
	for i := range work {
		texts[bag(work[i].Text)] = true
		voices[work[i].Kind] = true
	}
	leaks := 0
	for i := range exam {
		if texts[bag(exam[i].Text)] { // the text itself is not printed: nobody reads that part
			leaks++
			t.Errorf("%s:%d stands in work too", exam[i].File, exam[i].Line)
		}
		if exam[i].Kind == "" || voices[exam[i].Kind] {
			t.Fatalf("%s:%d: the voice %q", exam[i].File, exam[i].Line, exam[i].Kind)
		}
	}
	if leaks > 0 {
		t.Errorf("%d leaks", leaks)
	}
}

// TestEnoughSentences keeps the parts as large as the figures of the README need them: at least 6,000 sentences a
// language, and in exam 300 emergencies a language by six voices.
func TestEnoughSentences(t *testing.T) {
	work, exam := sentencesIn(t, "work"), sentencesIn(t, "exam")
	for _, lang := range []string{"en", "es"} {
		all, danger, voices := 0, 0, map[string]bool{}
		for _, part := range [][]sentence.Sentence{work, exam} {
			for i := range part {
				if part[i].Lang() == lang {
					all++
				}
			}
		}
		for i := range exam {
			if exam[i].Lang() == lang {
				voices[exam[i].Kind] = true
				if exam[i].Class == 'E' {
					danger++
				}
			}
		}
		if all < 6000 || danger < 300 || len(voices) < 6 {
			t.Errorf("%s: %d sentences, %d emergencies to measure, %d voices", lang, all, danger, len(voices))
		}
	}
}
