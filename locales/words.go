package locales

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"duskdawn/flows/message"

	"github.com/BurntSushi/toml"
	"github.com/nicksnyder/go-i18n/v2/i18n"
	"github.com/nicksnyder/go-i18n/v2/i18n/template"
	"golang.org/x/text/language"
)

//go:embed *.toml
var files embed.FS

// Source is the language every other one is compared with.
const Source = "en"

// SafeKey is the text sent where every other one fails: a person is answered
// even then.
const SafeKey = "format.safe"

// Words is every word in every language. It is built once, never changes, and
// may be used by any number of goroutines.
type Words struct {
	langs    []string
	tongues  map[string]*tongue
	fallback string
	year     int // of today, so that a date of another has its own; 0: not known, and none has
	misses   *atomic.Int64
	parser   template.Parser
	dict     *dictionary
	prose    *dictionary
	nets     Nets
	blanks   *blanks
}

// tongue is one language: its catalogue and what formatting needs of it.
type tongue struct {
	lang     string
	tag      language.Tag
	loc      *i18n.Localizer
	keys     map[string]bool
	forms    formats
	isolates bool // text of a person is set apart from the direction of the rest
}

// Load gives the words of the embedded catalogues, with a count of misses of
// their own. They are built once and never change, so that a process that wants
// them in several places reads them once. An error means that the program was
// built with a broken file.
func Load() (*Words, error) {
	nets, err := builtNets()
	if err != nil {
		return nil, err
	}
	return LoadHearing(nets)
}

var built = sync.OnceValues(build)

// build reads the catalogues.
func build() (*Words, error) {
	bundle := i18n.NewBundle(language.MustParse(Source))
	bundle.RegisterUnmarshalFunc("toml", toml.Unmarshal)
	w := &Words{
		tongues:  map[string]*tongue{},
		fallback: Source,
		misses:   new(atomic.Int64),
		// missingkey=error: a typo gives an error and the fallback, never a
		// text with "<no value>" in it. One parser, so that templates are kept.
		parser: &template.TextParser{Option: "missingkey=error"},
	}
	names, err := catalogues()
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		if err := w.add(bundle, name); err != nil {
			return nil, fmt.Errorf("loading %s: %w", name, err)
		}
	}
	for _, t := range w.tongues {
		// The matcher of a bundle takes a related language for a wanted one;
		// with the exact tag it has nothing to guess.
		t.loc = i18n.NewLocalizer(bundle, t.lang)
		if t.forms, err = w.formats(t); err != nil {
			return nil, fmt.Errorf("loading the formats of %s: %w", t.lang, err)
		}
		w.langs = append(w.langs, t.lang)
	}
	slices.SortFunc(w.langs, func(a, b string) int {
		switch { // the source language first, the others by name
		case a == b:
			return 0
		case a == Source:
			return -1
		case b == Source:
			return 1
		}
		return strings.Compare(a, b)
	})
	w.testLanguages()
	if w.dict, err = loadDictionary(w.langs, dictionaryPrefix); err != nil {
		return nil, fmt.Errorf("loading the reading dictionaries: %w", err)
	}
	if w.prose, err = loadDictionary(w.langs, dictionaryPrefix, prosePrefix); err != nil {
		return nil, fmt.Errorf("loading the dictionaries of prose: %w", err)
	}
	w.learnLabels()
	w.learnBlanks()
	return w, nil
}

// catalogues lists the embedded message files; the reading dictionaries are
// not among them.
func catalogues() ([]string, error) {
	entries, err := files.ReadDir(".")
	if err != nil {
		return nil, fmt.Errorf("listing the catalogues: %w", err)
	}
	var names []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), dictionaryPrefix) && !strings.HasPrefix(e.Name(), prosePrefix) {
			names = append(names, e.Name())
		}
	}
	return names, nil
}

// add takes one file, named "topic.lang.toml", into the bundle.
func (w *Words) add(bundle *i18n.Bundle, name string) error {
	buf, err := files.ReadFile(name)
	if err != nil {
		return err
	}
	file, err := bundle.ParseMessageFileBytes(buf, path.Base(name))
	if err != nil {
		return err
	}
	lang := file.Tag.String()
	t := w.tongues[lang]
	if t == nil {
		t = &tongue{lang: lang, tag: file.Tag, keys: map[string]bool{}, isolates: rightToLeft(file.Tag)}
		w.tongues[lang] = t
	}
	for _, m := range file.Messages {
		if t.keys[m.ID] {
			return fmt.Errorf("%q stands in two files", m.ID)
		}
		t.keys[m.ID] = true
	}
	return nil
}

// Default returns the same words with another language to fall back on: the
// practice's own. A language without a catalogue changes nothing.
func (w *Words) Default(lang string) *Words {
	if w.tongues[lang] == nil {
		return w
	}
	v := *w
	v.fallback = lang
	return &v
}

// On returns the same words as of a day: a date of another year is written with it.
func (w *Words) On(at time.Time) *Words {
	v := *w
	v.year = at.Year()
	return &v
}

// Languages lists the languages people may choose, the source language first.
func (w *Words) Languages() []string { return slices.Clone(w.langs) }

// Has reports whether there is a catalogue of exactly this language. The test
// languages count.
func (w *Words) Has(lang string) bool { return w.tongues[lang] != nil }

// Topic gives every text of a language that has no value in it and whose key
// begins with one of the heads, by its key.
func (w *Words) Topic(lang string, heads ...string) map[string]string {
	out := map[string]string{}
	t := w.tongues[lang]
	if t == nil {
		return out
	}
	for key := range t.keys {
		if !slices.ContainsFunc(heads, func(head string) bool { return strings.HasPrefix(key, head) }) {
			continue
		}
		if text, ok := w.localize(t, message.Line{Key: key}, 0); ok {
			out[key] = text
		}
	}
	return out
}

// Misses counts the texts that had to be taken from another language, or
// replaced, since the words were loaded. It should stay 0.
func (w *Words) Misses() int64 { return w.misses.Load() }

// Choose finds the language for the code a chat platform gives ("es-MX"): one
// of the same base language and script, never a merely related one. It is a
// hint, to be asked about.
func (w *Words) Choose(code string) (lang string, ok bool) {
	tag, err := language.Parse(code)
	if err != nil {
		return "", false
	}
	base, conf := tag.Base()
	if conf != language.Exact { // "und" has a guessed base
		return "", false
	}
	script, _ := tag.Script()
	for _, l := range w.langs {
		t := w.tongues[l].tag
		b, _ := t.Base()
		s, _ := t.Script()
		if b == base && s == script {
			return l, true
		}
	}
	return "", false
}

// rightToLeft reports whether a language is written from right to left.
func rightToLeft(tag language.Tag) bool {
	s, _ := tag.Script()
	switch s.String() {
	case "Arab", "Hebr", "Syrc", "Thaa", "Nkoo", "Adlm", "Rohg":
		return true
	}
	return false
}
