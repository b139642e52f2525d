package locales

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"

	"github.com/BurntSushi/toml"
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
	signs     []sign              // words that tell dangers apart
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
	weak  bool // a weekday in letters that are a word of their own: "sat"
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

// page is one dictionary file.
type page struct {
	Filler  []string            `toml:"filler"`
	Polite  []string            `toml:"polite"`
	Concept map[string][]string `toml:"concept"`
	Field   map[string][]string `toml:"field"`   // "pain": what the question is called
	Answer  map[string][]string `toml:"answer"`  // "worn.0": phrases that are that answer
	Number  map[string][]string `toml:"number"`  // "3": "three"
	Weekday map[string][]string `toml:"weekday"` // "0" is Sunday
	Month   map[string][]string `toml:"month"`
	Ago     map[string][]string `toml:"ago"` // "1": "yesterday"
	Feature map[string][]string `toml:"feature"`
	Word    map[string][]string `toml:"word"`
	Why     []string            `toml:"why"`
	OutOf   []string            `toml:"outof"` // words between a score and the ten it is out of
	Sign    map[string][]string `toml:"sign"`
	Own     []string            `toml:"own"`   // words with which people begin what they say of themselves
	Leads   []string            `toml:"leads"` // words behind which it is a part of a question, or a condition
	Joins   []string            `toml:"joins"`
	Naysay  []string            `toml:"naysay"`
	After   []string            `toml:"after"`
	Accents map[string]string   `toml:"accent"`   // words that only an accent tells from another, and what is read for them
	Asked   map[string][]string `toml:"question"` // "travel": words of who asks for that how-to card
}

// loadDictionary reads the dictionaries of the languages, at most eight. Where the names of several begin differently,
// a phrase means what the later one says.
func loadDictionary(langs []string, prefixes ...string) (*dictionary, error) {
	d := &dictionary{langs: langs, words: map[string]entry{}, stems: map[string]int32{}, typos: map[string]int32{},
		spell: []string{""}, starts: make([][]phrase, 1), whole: map[string]reading.Word{}, exact: map[string]reading.Reading{}, outOf: map[int32]bool{},
		begins: map[string]bool{}, naysay: map[string][]string{}, joins: map[string]bool{}, leads: map[string]bool{}, accents: map[string]string{}, rules: flagRules()}
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

// readPage reads the dictionary of a language.
func readPage(prefix, lang string) (p page, err error) {
	name := prefix + lang + ".toml"
	buf, err := files.ReadFile(name)
	if err != nil {
		return p, err
	}
	if err := toml.Unmarshal(buf, &p); err != nil {
		return p, fmt.Errorf("reading %s: %w", name, err)
	}
	return p, nil
}

// take adds one language.
func (d *dictionary) take(p page, lang uint8) error {
	for _, s := range p.Filler {
		for _, words := range expand(s) {
			if len(words) != 1 {
				return fmt.Errorf("the filler %q is more than one word", words)
			}
			e := d.word(words[0])
			e.filler |= lang
			d.words[words[0]] = e
		}
	}
	for _, s := range p.Polite {
		s = string(fold.Text(nil, s))
		e := d.word(s)
		e.polite = true
		e.filler |= lang
		d.words[s] = e
	}
	for _, s := range p.OutOf {
		s = string(fold.Text(nil, s))
		e := d.word(s)
		d.words[s] = e
		d.outOf[e.id] = true
	}
	for _, s := range p.Own {
		d.begins[string(fold.Text(nil, s))] = true
	}
	for _, s := range p.Naysay {
		d.naysay[s] = append(d.naysay[s], p.After...)
	}
	for _, s := range p.Joins {
		d.joins[string(fold.Text(nil, s))] = true
	}
	for _, s := range p.Leads {
		d.leads[string(fold.Text(nil, s))] = true
	}
	maps.Copy(d.accents, p.Accents)
	for _, s := range p.Why {
		d.whys = append(d.whys, string(fold.Text(nil, s)))
	}
	// Concepts and what fields are called are one list: which of two words a typo
	// is taken for must not hang on the section that a word stands in.
	called := maps.Clone(p.Concept)
	for name, rows := range p.Field {
		if called[name] != nil {
			return fmt.Errorf("%q is a concept and a question", name)
		}
		called[name] = rows
	}
	sections := []struct {
		rows map[string][]string
		read func(key string) (sense, error)
	}{
		{called, calledSense}, {p.Answer, answerSense}, {p.Feature, featureSense},
		{p.Number, countSense(senseNumber, 90)}, {p.Weekday, countSense(senseWeekday, 6)},
		{p.Month, countSense(senseMonth, 12)}, {p.Ago, countSense(senseAgo, 14)},
	}
	var shorts [][]string
	var shortSenses []sense
	bad := []error{d.signWords(p.Sign, lang), d.questions(p.Asked)} // all at once, for whoever edits a dictionary
	for _, sec := range sections {
		for _, key := range sortedKeys(sec.rows) {
			s, err := sec.read(key)
			if err != nil {
				return err
			}
			s.langs = lang
			for _, row := range sec.rows[key] {
				if n, err := strconv.Atoi(row); err == nil && s.flags.Has(reading.FUrgent) {
					d.emergency = append(d.emergency, int32(n))
					continue
				}
				row, s.weak = strings.CutSuffix(row, "~")
				for _, words := range expand(row) {
					if short := d.bare(words); len(short) < len(words) && (s.kind == senseAnswer && s.field == chart.Worn || s.kind == senseConcept && loosely.has(s.c)) {
						shorts = append(shorts, short)
						shortSenses = append(shortSenses, s)
					}
					if err := d.phrase(words, s); err != nil {
						bad = append(bad, fmt.Errorf("%q of %q: %w", row, key, err))
					}
				}
			}
		}
	}
	for i, short := range shorts {
		_ = d.phrase(short, shortSenses[i]) // where it means something else already, that holds
	}
	for _, key := range sortedKeys(p.Word) {
		w, ok := wordNamed(key)
		if !ok {
			return fmt.Errorf("no control word is called %q", key)
		}
		for _, row := range p.Word[key] {
			for _, said := range expand(row) {
				text := strings.Join(said, " ")
				if old, ok := d.whole[text]; ok && old != w {
					bad = append(bad, fmt.Errorf("%q is %q and %q", text, words[old], key))
				}
				d.whole[text] = w
				for _, x := range said {
					d.words[x] = d.word(x)
				}
			}
		}
	}
	return errors.Join(bad...)
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

// expand brings a dictionary row to the folded form and writes out the short forms of a dictionary row: "a|b" stands for
// either, "a?" may be missing, "a_b" is two words.
func expand(row string) [][]string {
	rows := [][]string{nil}
	for _, part := range strings.Fields(string(fold.Text(nil, row))) {
		var options [][]string
		part, optional := strings.CutSuffix(part, "?")
		for _, option := range strings.Split(part, "|") {
			options = append(options, strings.Split(option, "_"))
		}
		if optional {
			options = append(options, nil)
		}
		var next [][]string
		for _, r := range rows {
			for _, o := range options {
				next = append(next, append(slices.Clone(r), o...))
			}
		}
		rows = next
	}
	return rows
}
