package hearing

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"duskdawn/locales/sentence"
)

var figures = flag.Bool("figures", false, "write the figures of the README anew")

// The figures stand between these lines of the README.
const (
	figuresFrom = "<!-- figures: go test ./bot/hearing -run Figures -figures -->\n"
	figuresTo   = "<!-- end of figures -->\n"
)

// TestFigures holds the figures of the README to what the program reads today of the sentences that nobody tunes on:
// of these only shares are shown, never a sentence.
func TestFigures(t *testing.T) {
	all, err := sentence.Folder(os.DirFS("../../locales/testdata/sentences/exam"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := Measure(words(t), all)
	if err != nil {
		t.Fatal(err)
	}
	r.Misses = nil
	var table strings.Builder
	if err := r.Print(&table); err != nil {
		t.Fatal(err)
	}
	voices := map[string]bool{}
	for i := range all {
		voices[all[i].Kind] = true
	}
	var want strings.Builder
	fmt.Fprintf(&want, "\n%d sentences by %d voices:\n\n", len(all), len(voices))
	for line := range strings.Lines(table.String()) {
		fmt.Fprintf(&want, "    %s\n", strings.TrimRight(line, " \n"))
	}
	want.WriteString("\n")
	const name = "../../README.md"
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(raw), figuresFrom)
	is, after, ok2 := strings.Cut(rest, figuresTo)
	switch {
	case !ok || !ok2:
		t.Fatal("the README has no place for the figures")
	case is == want.String():
	case *figures:
		if err := os.WriteFile(name, []byte(before+figuresFrom+want.String()+figuresTo+after), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		t.Errorf("the README says\n%s\nand it is\n%s", is, want.String())
	}
}
