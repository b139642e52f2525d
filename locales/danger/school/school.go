package school

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"duskdawn/locales/sentence"
)

// Work is the folder of the sentences that are taught, within locales. The sentences of the folder beside it are opened
// to measure, never to teach.
const Work = "testdata/sentences/work"

// made are the files that decide what the weights come to, within locales.
var made = []string{Work + "/*.tsv", "danger/cue.*.toml", "danger/input.go", "danger/net.go", "danger/form.go", "danger/way.go", "fold/fold.go",
	"danger/school/*.go"}

// Hash is the hash of all that decides what the weights come to; locales is the folder of that package.
func Hash(locales fs.FS) (hash [32]byte, err error) {
	h := sha256.New()
	for _, pattern := range made {
		names, err := fs.Glob(locales, pattern)
		if err != nil {
			return hash, err
		}
		slices.Sort(names)
		for _, name := range names {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			buf, err := fs.ReadFile(locales, name)
			if err != nil {
				return hash, err
			}
			fmt.Fprintf(h, "%s %d\n%s", name, len(buf), buf)
		}
	}
	return [32]byte(h.Sum(nil)), nil
}

// Teach teaches both nets and gives their written forms, and what was found on the way, in a few lines for whoever ran it.
func Teach(locales fs.FS) (buf, answers []byte, report string, err error) {
	work, err := fs.Sub(locales, Work)
	if err != nil {
		return nil, nil, "", err
	}
	all, err := sentence.Folder(work)
	if err != nil {
		return nil, nil, "", err
	}
	ls, err := lessons(all)
	if err != nil {
		return nil, nil, "", err
	}
	ways, err := wayLessons(all)
	if err != nil {
		return nil, nil, "", err
	}
	_, bars, err := Turns(all)
	if err != nil {
		return nil, nil, "", err
	}
	form, second := train(ls, fewest).form(), train(ways, fewestWays).form()
	form.Bars = bars
	if form.Hash, err = Hash(locales); err != nil {
		return nil, nil, "", err
	}
	second.Hash = form.Hash
	if buf, err = form.Bytes(); err != nil {
		return nil, nil, "", err
	}
	if answers, err = second.Bytes(); err != nil {
		return nil, nil, "", err
	}
	return buf, answers, fmt.Sprintf("%d sentences, %d inputs, %d and %d bytes; bars %+v\n", len(all), len(form.Rows), len(buf), len(answers), form.Bars), nil
}
