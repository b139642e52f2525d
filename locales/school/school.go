package school

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
	"duskdawn/locales/linear"
	"duskdawn/locales/sentence"
)

// Work is the folder of the sentences that are taught, within locales. The sentences of the folder beside it are opened
// to measure, never to teach.
const Work = "testdata/sentences/work"

// made are the files that decide what the weights come to, within locales.
var made = []string{Work + "/*.tsv", "danger/*.go", "danger/*.toml", "answer/*.go", "answer/*.toml", "linear/*.go", "fold/*.go", "school/*.go", "matrix/*", "*.go",
	"read.*.toml", "prose.*.toml"}

// Hash is the hash of all that decides what the weights come to; locales is the folder of that package.
func Hash(locales fs.FS) (hash [32]byte, err error) { return hashOf(locales, made) }

// hashOf is the hash of all files of these patterns but tests.
func hashOf(locales fs.FS, patterns []string) (hash [32]byte, err error) {
	h := sha256.New()
	for _, pattern := range patterns {
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

// Taught are the written forms of the nets, and what was found on the way, in a few lines for whoever taught them.
type Taught struct {
	Dangers, Tagger, Verdicts []byte
	Report                    string
}

// Teach teaches the nets.
func Teach(locales fs.FS) (Taught, error) {
	work, err := fs.Sub(locales, Work)
	if err != nil {
		return Taught{}, err
	}
	all, err := sentence.Folder(work)
	if err != nil {
		return Taught{}, err
	}
	c, err := classOf(all)
	if err != nil {
		return Taught{}, err
	}
	keep, err := Kept(locales)
	if err != nil {
		return Taught{}, err
	}
	var dangers *linear.Form
	var tagger *answer.Tagger
	var errTaught error
	var wait sync.WaitGroup
	wait.Go(func() { dangers, tagger, errTaught = c.taught(keep, func(int) bool { return true }) })
	turns, bars, err := turnsIn(all, c, keep)
	wait.Wait()
	if err = errors.Join(err, errTaught); err != nil {
		return Taught{}, err
	}
	hash, err := Hash(locales)
	if err != nil {
		return Taught{}, err
	}
	verdicts := judges(turns, nil)
	dangers.Bars, dangers.Hash, verdicts.Hash = bars, hash, hash
	var t Taught
	var errs [3]error
	t.Dangers, errs[0] = dangers.Bytes()
	t.Tagger, errs[1] = tagger.Bytes(hash)
	t.Verdicts, errs[2] = verdicts.Bytes()
	t.Report = fmt.Sprintf("%d sentences, %d inputs and %d; %d, %d and %d bytes; bars %+v\n", len(all), len(dangers.Rows), len(tagger.Rows),
		len(t.Dangers), len(t.Tagger), len(t.Verdicts), bars)
	return t, errors.Join(errs[:]...)
}

// class is all that is taught: dangers, and answers.
type class struct {
	dangers []lesson
	answers []tagLesson
}

// classOf hears every sentence, for the net and for the tagger.
func classOf(all []sentence.Sentence) (c class, err error) {
	if c.dangers, err = lessons(all); err != nil {
		return c, err
	}
	joined, err := joinedLessons(all)
	if err != nil {
		return c, err
	}
	c.dangers = append(c.dangers, joined...)
	c.answers, err = tagLessons(all)
	return c, err
}

// taught teaches the net and the tagger on the sentences of which in says that they are taught.
func (c *class) taught(keep Keep, in func(of int) bool) (dangers *linear.Form, tagger *answer.Tagger, err error) {
	var ls []lesson
	for _, l := range c.dangers {
		if in(l.of) {
			ls = append(ls, l)
		}
	}
	var answers []tagLesson
	for _, l := range c.answers {
		if in(l.of) {
			answers = append(answers, l)
		}
	}
	if tagger, err = keep.tagger(answers); err != nil {
		return nil, nil, err
	}
	return train(ls, []answer.Block{{From: 0, To: danger.Outputs}}, fewest, deaf).form(linear.OfWords), tagger, nil
}
