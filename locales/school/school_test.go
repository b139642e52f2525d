package school

import (
	"bytes"
	"os"
	"testing"

	"duskdawn/locales"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
	"duskdawn/locales/linear"
	"duskdawn/locales/sentence"
)

// TestTaughtOnThese holds the weights that are built in to the sentences, and to the program that teaches.
func TestTaughtOnThese(t *testing.T) {
	want, err := Hash(os.DirFS(".."))
	if err != nil {
		t.Fatal(err)
	}
	_, got, err := danger.Load()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := locales.Load(); err != nil { // the others are of the same
		t.Fatal(err)
	}
	if got != want {
		t.Error("the sentences, the cue words or the school changed since the net was taught: go generate ./locales/...")
	}
}

// TestTeachTwice teaches a few sentences twice: the same bytes, and what was taught is heard.
func TestTeachTwice(t *testing.T) {
	all := sentencesIn(t, "work")
	var few []sentence.Sentence
	for i := 0; i < len(all); i += 12 {
		few = append(few, all[i])
	}
	ls, err := lessons(few)
	if err != nil {
		t.Fatal(err)
	}
	one, err := train(ls, []answer.Block{{From: 0, To: danger.Outputs}}, fewest, deaf).form(linear.OfWords).Bytes()
	if err != nil {
		t.Fatal(err)
	}
	two, err := train(ls, []answer.Block{{From: 0, To: danger.Outputs}}, fewest, deaf).form(linear.OfWords).Bytes()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(one, two) {
		t.Error("two lessons, two nets")
	}
}

// TestTurns leaves every writer of few sentences out once, and never one of many.
func TestTurns(t *testing.T) {
	all := sentencesIn(t, "work")
	turn := turnsOf(all)
	of := map[string]int{}
	for i := range all {
		voice := all[i].File + all[i].Kind
		if was, ok := of[voice]; ok && was != turn[i] {
			t.Fatalf("%s is left out twice", voice)
		}
		of[voice] = turn[i]
	}
	left := 0
	for _, at := range of {
		if at >= 0 {
			left++
		}
	}
	if left < 2*turns {
		t.Errorf("%d voices are left out", left)
	}
}

// TestSmall keeps what is built in below a million bytes, all nets together.
func TestSmall(t *testing.T) {
	all := int64(0)
	for _, name := range []string{"danger/net.bin", "answer/tagger.bin", "answer/verdicts.bin"} {
		f, err := os.Stat("../" + name)
		if err != nil {
			t.Fatal(err)
		}
		all += f.Size()
	}
	if all >= 1_000_000 {
		t.Errorf("%d bytes", all)
	}
}
