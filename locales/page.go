package locales

import (
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
