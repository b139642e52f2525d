package school

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"duskdawn/locales/danger"
	"duskdawn/locales/sentence"
)

// Work is the folder of the sentences that are taught, within locales. The sentences of the folder beside it are opened
// to measure, never to teach.
const Work = "testdata/sentences/work"

// made are the files that decide what the weights come to, within locales.
var made = []string{Work + "/*.tsv", "danger/cue.*.toml", "danger/input.go", "danger/net.go", "danger/form.go", "danger/way.go", "danger/figure.go",
	"danger/number.go", "danger/number.*.toml", "fold/fold.go", "danger/school/*.go"}

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

// Taught are the written forms of the nets, and what was found on the way, in a few lines for whoever taught them.
type Taught struct {
	Dangers, Ways, Figures []byte
	Report                 string
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
	_, bars, err := turnsIn(all, c)
	if err != nil {
		return Taught{}, err
	}
	forms := c.taught(func(int) bool { return true })
	forms[0].Bars = bars
	hash, err := Hash(locales)
	if err != nil {
		return Taught{}, err
	}
	var bufs [len(forms)][]byte
	for i, f := range forms {
		f.Hash = hash
		if bufs[i], err = f.Bytes(); err != nil {
			return Taught{}, err
		}
	}
	return Taught{bufs[0], bufs[1], bufs[2], fmt.Sprintf("%d sentences, %d inputs, %d, %d and %d bytes; bars %+v\n", len(all), len(forms[0].Rows),
		len(bufs[0]), len(bufs[1]), len(bufs[2]), bars)}, nil
}

// class is all that is taught, a net at a time: dangers, ways, figures.
type class struct{ dangers, ways, figures []lesson }

// classOf hears every sentence for every net.
func classOf(all []sentence.Sentence) (c class, err error) {
	if c.dangers, err = lessons(all); err != nil {
		return c, err
	}
	if c.ways, err = wayLessons(all); err != nil {
		return c, err
	}
	c.figures, err = figureLessons(all)
	return c, err
}

// taught teaches the nets on the sentences of which in says that they are taught.
func (c *class) taught(in func(of int) bool) (forms [3]*danger.Form) {
	some := func(ls []lesson) (out []lesson) {
		for _, l := range ls {
			if in(l.of) {
				out = append(out, l)
			}
		}
		return out
	}
	return [3]*danger.Form{
		train(some(c.dangers), []danger.Block{{From: 0, To: danger.Outputs}}, fewest).form(),
		train(some(c.ways), danger.WayBlocks(), fewestWays).form(),
		train(some(c.figures), []danger.Block{{From: 0, To: int(danger.NumRoles)}}, fewestFigs).form(),
	}
}
