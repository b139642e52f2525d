package locales

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// dictionaryPrefix begins the names of the reading dictionaries, "read.en.toml"; prosePrefix those of what prose has
// beside them, "prose.en.toml".
const (
	dictionaryPrefix = "read."
	prosePrefix      = "prose."
)

// dictionary is what Read knows: the words of all languages at once, the
// phrases that begin with each, and what each phrase means.
type dictionary struct {
	langs     []string
	words     map[string]entry
	stems     map[string]int32 // "swell*" by "swell"
	typos     map[string]int32 // a word of six letters and more with one left out
	spell     []string         // a word's letters, by its number
	starts    [][]phrase       // phrases by the number of their first word, longest first
	senses    []sense
	whole     map[string]reading.Word // texts that are one control word
	exact     map[string]reading.Reading
	shapes    map[string]chart.Field // of labels with a length of time or a setting (label.go)
	rules     []flagRule
	naysay    map[string][]string // a "no" that is none of what follows, and the words that follow it
	joins     map[string]bool     // words between what is said and what is said beside it
	begins    map[string]bool     // words with which people begin what they say of themselves
	leads     map[string]bool     // words behind which it is a part of a question
	accents   map[string]string   // words that only an accent tells from another, and what is read for them
	outOf     map[int32]bool      // words between a score and the ten it is out of
	whys      []string            // ways to ask what something rests on
	emergency []int32             // telephone numbers for help
	danger    concepts            // the concepts the rules are made of
	signs     []sign              // words that tell what is said apart
	signAt    map[[2]byte][]sign  // ... by how they begin
	asked     []question          // ways to ask for a how-to card
	own       int32               // senses before it may be replaced by what is taken
}

// entry is one word.
type entry struct {
	id, stem int32 // numbers of the word and of its stem; 0 for none
	filler   uint8 // a bit per language in which it says nothing
	polite   bool  // "please": not counted in a control word
}

// phrase is a row of words and what it means.
type phrase struct {
	words []int32
	sense int32
}

// sense is one meaning.
type sense struct {
	kind  senseKind
	c     concept
	n     int8 // a number, a weekday, a month, days ago
	field chart.Field
	value chart.Answer
	flags reading.Features
	langs uint8 // a bit per language that says it so
}

// String is for whoever edits a dictionary.
func (s sense) String() string {
	switch s.kind {
	case senseConcept:
		return s.c.String()
	case senseAnswer:
		return fmt.Sprintf("%s.%d", s.field.Row().Name, s.value.N())
	case senseFeature:
		return fmt.Sprintf("feature %x", uint64(s.flags))
	}
	return fmt.Sprintf("%d of kind %d", s.n, s.kind)
}

type senseKind uint8

const (
	senseConcept senseKind = iota
	senseAnswer
	senseNumber
	senseWeekday
	senseMonth
	senseAgo
	senseFeature
)

// loadDictionary reads the dictionaries of the languages, at most eight. Where the names of several begin differently,
// a phrase means what the later one says.
func loadDictionary(langs []string, prefixes ...string) (*dictionary, error) {
	d := &dictionary{langs: langs, words: map[string]entry{}, stems: map[string]int32{}, typos: map[string]int32{},
		spell: []string{""}, starts: make([][]phrase, 1), whole: map[string]reading.Word{}, exact: map[string]reading.Reading{}, shapes: map[string]chart.Field{}, outOf: map[int32]bool{},
		begins: map[string]bool{}, naysay: map[string][]string{}, joins: map[string]bool{}, leads: map[string]bool{}, accents: map[string]string{}, signAt: map[[2]byte][]sign{}, rules: flagRules()}
	d.danger = dangerous(d.rules)
	if len(langs) > 8 {
		return nil, fmt.Errorf("%d languages are more than 8", len(langs))
	}
	for _, prefix := range prefixes {
		d.own = int32(len(d.senses))
		for i, lang := range langs {
			p, err := readPage(prefix, lang)
			if err != nil {
				return nil, err
			}
			if err := d.take(p, 1<<i); err != nil {
				return nil, fmt.Errorf("taking %s%s: %w", prefix, lang, err)
			}
		}
	}
	for i := range d.starts {
		slices.SortStableFunc(d.starts[i], func(a, b phrase) int { return cmp.Compare(len(b.words), len(a.words)) })
	}
	d.linkStems()
	d.linkTypos()
	return d, nil
}

// loosely are the meanings that are told in phrases with any small words in them.
var loosely = setOf(cTaken, cLeftAway, cMend, cAway, cBother, cIll, cGone, cMorning, cPauses, cAsleep)

// bare is a phrase of prose without the words in it that say nothing, where at least two are left: "stayed in the box"
// is "stayed in its box" too.
func (d *dictionary) bare(words []string) []string {
	if d.own == 0 {
		return words
	}
	out := words[:1:1]
	for _, w := range words[1:] {
		if d.words[w].filler == 0 {
			out = append(out, w)
		}
	}
	if len(out) < 2 || d.words[words[0]].filler != 0 {
		return words
	}
	return out
}

// word gives the entry of a word, a new one where it has none.
func (d *dictionary) word(s string) entry {
	e, ok := d.words[s]
	if !ok {
		e.id = int32(len(d.spell))
		d.spell = append(d.spell, s)
		d.starts = append(d.starts, nil)
		d.words[s] = e
		if stem, ok := strings.CutSuffix(s, "*"); ok {
			d.stems[stem] = e.id
		}
	}
	return e
}

// phrase adds a phrase. The same phrase may mean one thing only, in whatever
// language it is said.
func (d *dictionary) phrase(words []string, s sense) error {
	if len(words) == 0 {
		return fmt.Errorf("an empty phrase")
	}
	p := phrase{words: make([]int32, len(words))}
	for i, w := range words {
		p.words[i] = d.word(w).id
	}
	first := p.words[0]
	for i, q := range d.starts[first] {
		if slices.Equal(q.words, p.words) {
			old := &d.senses[q.sense]
			same := *old
			same.langs = s.langs
			if same != s && q.sense < d.own {
				d.senses = append(d.senses, s)
				d.starts[first][i].sense = int32(len(d.senses) - 1)
				return nil
			}
			if same != s {
				return fmt.Errorf("%q is already %s", words, old)
			}
			old.langs |= s.langs
			return nil
		}
	}
	p.sense = int32(len(d.senses))
	d.senses = append(d.senses, s)
	d.starts[first] = append(d.starts[first], p)
	return nil
}

// linkStems tells every word which stem it has: "swelling" counts as "swell*" too.
func (d *dictionary) linkStems() {
	for s, e := range d.words {
		if !strings.HasSuffix(s, "*") {
			e.stem = d.stem(s)
			d.words[s] = e
		}
	}
}

// stem finds the longest stem that a word begins with.
func (d *dictionary) stem(word string) int32 {
	for n := len(word); n >= 3; n-- {
		if id, ok := d.stems[word[:n]]; ok {
			return id
		}
	}
	return 0
}

// linkTypos prepares the search for words with one wrong letter: every long
// word with one letter left out, as in symmetric-delete spelling correction.
func (d *dictionary) linkTypos() {
	for id, s := range d.spell {
		if len(s) < minTypo || strings.HasSuffix(s, "*") {
			continue
		}
		for i := range s {
			short := s[:i] + s[i+1:]
			if _, taken := d.typos[short]; !taken {
				d.typos[short] = int32(id)
			}
		}
	}
}
