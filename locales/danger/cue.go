package danger

import (
	"embed"
	"fmt"
	"sync"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"

	"github.com/BurntSushi/toml"
)

//go:embed cue.*.toml
var cueFiles embed.FS

// cueWords are the words that hedge. Those of a question do so where they begin a text, the others wherever they stand.
type cueWords map[string]reading.Hedges

// readCues reads the words of all languages, once. A word may give several cues.
var readCues = sync.OnceValues(func() (cueWords, error) {
	entries, err := cueFiles.ReadDir(".")
	if err != nil {
		return nil, fmt.Errorf("listing the cue words: %w", err)
	}
	words := cueWords{}
	for _, e := range entries {
		buf, err := cueFiles.ReadFile(e.Name())
		if err != nil {
			return nil, fmt.Errorf("opening %s: %w", e.Name(), err)
		}
		var page struct{ Question, Condition, Other, Tale, Past, Negation []string }
		if err := toml.Unmarshal(buf, &page); err != nil {
			return nil, fmt.Errorf("reading %s: %w", e.Name(), err)
		}
		for i, row := range [reading.NumHedges][]string{page.Question, page.Condition, page.Other, page.Tale, page.Past, page.Negation} {
			for _, w := range row {
				words[string(fold.Text(nil, w))] |= 1 << i
			}
		}
	}
	return words, nil
})
