package main

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var readIn = flag.String("read", "", "print every talk in this language, for a person to read")

// TestTalksInWords keeps some talks in words, in the languages that their
// "also" line names, so that a person can read them as a patient would. The
// lines that only assert are left out.
func TestTalksInWords(t *testing.T) {
	for _, s := range loadTalks(t) {
		for _, lang := range s.also {
			t.Run(s.name+"/"+lang, func(t *testing.T) {
				t.Parallel()
				path := filepath.Join(talksDir, lang, s.name+".txt")
				got := s.inWords(t, lang)
				if *rewrite {
					if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
						t.Fatal(err)
					}
					if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
						t.Fatal(err)
					}
					return
				}
				want, err := os.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				if string(want) != got {
					t.Errorf("%s is not what the talk reads like now; run go test ./bot -run Talk -rewrite, and read it:\n%s", path,
						difference(strings.Split(string(want), "\n"), strings.Split(got, "\n")))
				}
			})
		}
	}
}

// inWords is a talk as people read it.
func (s script) inWords(t *testing.T, lang string) string {
	lines := slices.DeleteFunc(s.play(t, newPure(t), lang, false), func(line string) bool {
		word, _, _ := strings.Cut(line, " ")
		return slices.Contains(assertions, word)
	})
	return strings.Join(lines, "\n") + "\n"
}

// assertions begin the lines of a script that a reader can do without.
var assertions = strings.Fields("rule fired unfired advice setting between doubt state open escalation flag flags ready plan zone breach heard unheard silence also")

func TestReadTalks(t *testing.T) {
	if *readIn == "" {
		return // a tool for people: it prints the talks with -read en -v
	}
	for _, s := range loadTalks(t) {
		t.Run(s.name, func(t *testing.T) { t.Log("\n" + s.inWords(t, *readIn)) })
	}
}
