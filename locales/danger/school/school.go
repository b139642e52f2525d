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
	"danger/number.go", "danger/number.*.toml", "danger/verdict.go", "fold/fold.go", "danger/school/*.go", "*.go", "read.*.toml", "prose.*.toml"}

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
	Dangers, Ways, Figures, Verdicts []byte
	Report                           string
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
	turns, bars, err := turnsIn(all, c)
	if err != nil {
		return Taught{}, err
	}
	taught := c.taught(func(int) bool { return true })
	taught[0].Bars = bars
	forms := append(taught[:], judges(turns, nil))
	hash, err := Hash(locales)
	if err != nil {
		return Taught{}, err
	}
	bufs := make([][]byte, len(forms))
	for i, f := range forms {
		f.Hash = hash
		if bufs[i], err = f.Bytes(); err != nil {
			return Taught{}, err
		}
	}
	return Taught{bufs[0], bufs[1], bufs[2], bufs[3], fmt.Sprintf("%d sentences, %d inputs, %d, %d, %d and %d bytes; bars %+v\n", len(all),
		len(forms[0].Rows), len(bufs[0]), len(bufs[1]), len(bufs[2]), len(bufs[3]), bars)}, nil
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
		train(some(c.dangers), []danger.Block{{From: 0, To: danger.Outputs}}, fewest, deaf).form(danger.OfWords),
		train(some(c.ways), danger.WayBlocks(), fewestWays, deaf).form(danger.OfWords),
		train(some(c.figures), []danger.Block{{From: 0, To: int(danger.NumRoles)}}, fewestFigs, deaf).form(danger.OfWords),
	}
}
