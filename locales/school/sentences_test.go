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
	all, err := sentence.Folder(os.DirFS("../testdata/sentences/" + part))
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

// TestPartsApart keeps the sentences that are taught, those with which bars are set and those that measure apart: no text in two
// parts, no voice in two parts, and no order of the same words.
func TestPartsApart(t *testing.T) {
	texts, voices := map[string]bool{}, map[string]bool{}
	for _, part := range []string{"work", "bars", "exam"} {
		all := sentencesIn(t, part)
		for i := range all {
			if s := &all[i]; texts[bag(s.Text)] { // the text itself is not printed: nobody reads exam
				t.Errorf("%s, %s:%d stands in another part too", part, s.File, s.Line)
			}
			if s := &all[i]; part != "work" && (s.Kind == "" || voices[s.Kind]) {
				t.Fatalf("%s, %s:%d: the voice %q", part, s.File, s.Line, s.Kind)
			}
		}
		for i := range all {
			texts[bag(all[i].Text)], voices[all[i].Kind] = true, true
		}
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
