package hearing

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales"
	"duskdawn/locales/sentence"
)

// Share is how many of how many, with the interval in which the true share lies with 95 %.
type Share struct {
	N    int     `json:"n"`
	Of   int     `json:"of"`
	From float64 `json:"from"` // per cent
	To   float64 `json:"to"`
}

// share works out Wilson's interval (doi:10.1080/01621459.1927.10502953) for a share of k in n.
func share(k, n int) Share {
	s := Share{N: k, Of: n, To: 100}
	if n == 0 {
		return s
	}
	const z = 1.959964
	p, m := float64(k)/float64(n), float64(n)
	mid := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	s.From, s.To = 100*max(mid-half, 0), 100*min(mid+half, 1)
	return s
}

// String writes the share in per cent: "81.3 % (78.0-84.2; 260/320)".
func (s Share) String() string {
	if s.Of == 0 {
		return "-"
	}
	return fmt.Sprintf("%.1f %% (%.1f-%.1f; %d/%d)", 100*float64(s.N)/float64(s.Of), s.From, s.To, s.N, s.Of)
}

// Rates are what was measured, of one language or of all.
type Rates struct {
	Lang string `json:"lang"` // "all" for all together
	// E and S as such or as something more urgent, N as anything
	ESure  Share `json:"e_sure"`
	EHeard Share `json:"e_heard"` // sure or unsure
	SSure  Share `json:"s_sure"`
	SHeard Share `json:"s_heard"`
	NHeard Share `json:"n_heard"`
	// of sentences that are harmless or only seem dangerous
	FalseSure   Share `json:"false_sure"`   // heard as a sure E or S
	FalseUnsure Share `json:"false_unsure"` // heard as anything else
	// of diary sentences
	DiaryFalse Share `json:"diary_false"`  // a danger was heard
	Full       Share `json:"diary_full"`   // all that is to be written was, and nothing else
	Part       Share `json:"diary_part"`   // some of it
	Asked      Share `json:"diary_asked"`  // none of it, and a question is asked back
	Not        Share `json:"diary_not"`    // none of it
	Wrong      Share `json:"diary_wrong"`  // something was written that should not be
	NotWritten Share `json:"written_else"` // of harmless and seeming ones: something was written
}

// Miss is a sentence that was not read as it should be.
type Miss struct {
	Lang     string `json:"lang"`
	Where    string `json:"where"`
	Class    string `json:"class"`
	Text     string `json:"text"`
	Expected string `json:"expected,omitempty"`
	Heard    string `json:"heard"`
	What     string `json:"what"` // "missed", "unsure", "false", "wrong", "part", "asked", "not"
}

// Report is what a measurement found.
type Report struct {
	Rates  []Rates `json:"rates"`
	Misses []Miss  `json:"misses"`
}

// counts are what is counted of one language.
type counts struct {
	e, eSure, eHeard, s, sSure, sHeard, n, nHeard, harmless, falseSure, falseUnsure int
	d, dFalse, full, part, asked, not, wrong, others, written                       int
}

// Measure reads every sentence. The order of languages and misses is the order of the sentences.
func Measure(w *locales.Words, all []sentence.Sentence) (Report, error) {
	return MeasureSets([]Set{{w, all}})
}

// Set is sentences, and the words that read them.
type Set struct {
	Words     *locales.Words
	Sentences []sentence.Sentence
}

// MeasureSets reads the sentences of several sets and counts them together.
func MeasureSets(sets []Set) (Report, error) {
	var report Report
	var langs []string
	sums := map[string]*counts{}
	total := &counts{}
	for _, set := range sets {
		for i := range set.Sentences {
			s := &set.Sentences[i]
			lang := s.Lang()
			if sums[lang] == nil {
				sums[lang] = &counts{}
				langs = append(langs, lang)
			}
			r := set.Words.Read(s.Text)
			for _, c := range []*counts{sums[lang], total} {
				miss, err := c.count(s, &r)
				if err != nil {
					return report, fmt.Errorf("%s:%d: %w", s.File, s.Line, err)
				}
				if c == total && miss != "" {
					report.Misses = append(report.Misses, Miss{Lang: lang, Where: fmt.Sprintf("%s:%d", s.File, s.Line), Class: label(s),
						Text: s.Text, Expected: s.Expected, Heard: heard(&r), What: miss})
				}
			}
		}
	}
	slices.Sort(langs)
	for _, lang := range langs {
		name := lang
		if name == "" {
			name = "?"
		}
		report.Rates = append(report.Rates, sums[lang].rates(name))
	}
	if len(langs) > 1 {
		report.Rates = append(report.Rates, total.rates("all"))
	}
	return report, nil
}

// count counts one sentence and says how it was missed; "" where it was not.
func (c *counts) count(s *sentence.Sentence, r *reading.Reading) (miss string, err error) {
	heard := r.Sure | r.Unsure
	if s.Class == 'Q' || s.Class == 'H' {
		c.others++
		if len(written(r)) > 0 {
			c.written++
			miss = "wrong"
		}
	}
	urgent := func(d reading.Dangers) bool { return d.Of('E')|d.Of('S') != 0 }
	switch s.Class {
	case 'E':
		c.e++
		if r.Sure.Of('E') != 0 {
			c.eSure++
		}
		if heard.Of('E') == 0 {
			return "missed", nil
		}
		c.eHeard++
	case 'S':
		c.s++
		if urgent(r.Sure) {
			c.sSure++
		}
		if !urgent(heard) {
			return "missed", nil
		}
		c.sHeard++
	case 'N':
		c.n++
		if heard == 0 {
			return "missed", nil
		}
		c.nHeard++
	case 'Q', 'H':
		c.harmless++
		switch {
		case urgent(r.Sure):
			c.falseSure++
			return "false", nil
		case heard != 0:
			c.falseUnsure++
			return "unsure", nil
		}
	case 'D':
		return c.diary(s, r)
	}
	return miss, nil
}

// diary counts a diary sentence.
func (c *counts) diary(s *sentence.Sentence, r *reading.Reading) (string, error) {
	wanted, err := s.Values()
	if err != nil {
		return "", err
	}
	c.d++
	if r.Sure|r.Unsure != 0 {
		c.dFalse++
	}
	right, missing, wrong := compare(wanted, written(r))
	switch {
	case len(wrong) > 0:
		c.wrong++
		return "wrong", nil
	case len(missing) == 0:
		c.full++
		return "", nil
	case right > 0:
		c.part++
		return "part", nil
	case asks(r):
		c.asked++
		return "asked", nil
	}
	c.not++
	return "not", nil
}

// asks reports whether a reading leads to a question about an answer: one without its value, or a number in doubt.
func asks(r *reading.Reading) bool {
	if r.Doubt != reading.NoDoubt || r.Bare.Known() {
		return true
	}
	return slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Value == chart.Unknown })
}

func (c *counts) rates(lang string) Rates {
	return Rates{Lang: lang, ESure: share(c.eSure, c.e), EHeard: share(c.eHeard, c.e), SSure: share(c.sSure, c.s),
		SHeard: share(c.sHeard, c.s), NHeard: share(c.nHeard, c.n), FalseSure: share(c.falseSure, c.harmless),
		FalseUnsure: share(c.falseUnsure, c.harmless), DiaryFalse: share(c.dFalse, c.d), Full: share(c.full, c.d),
		Part: share(c.part, c.d), Asked: share(c.asked, c.d), Not: share(c.not, c.d), Wrong: share(c.wrong, c.d),
		NotWritten: share(c.written, c.others)}
}

func label(s *sentence.Sentence) string {
	if s.Dangers == 0 {
		return string(s.Class)
	}
	return string(s.Class) + ":" + names(s.Dangers)
}

func names(ds reading.Dangers) string {
	var out []string
	for _, d := range ds.All() {
		out = append(out, d.String())
	}
	return strings.Join(out, "+")
}

// heard writes a reading in short.
func heard(r *reading.Reading) string {
	var out []string
	for _, v := range written(r) {
		out = append(out, v.String())
	}
	if r.Sure != 0 {
		out = append(out, "sure:"+names(r.Sure))
	}
	if r.Unsure != 0 {
		out = append(out, "unsure:"+names(r.Unsure))
	}
	if len(out) == 0 {
		return "nothing"
	}
	return strings.Join(out, " ")
}

// Print writes the report: a line a rate, a column a language, then the misses.
func (r *Report) Print(out io.Writer) error {
	rows := []struct {
		name string
		of   func(*Rates) Share
	}{
		{"E sure", func(r *Rates) Share { return r.ESure }},
		{"E sure or unsure", func(r *Rates) Share { return r.EHeard }},
		{"S sure, as S or E", func(r *Rates) Share { return r.SSure }},
		{"S sure or unsure, as S or E", func(r *Rates) Share { return r.SHeard }},
		{"N heard at all", func(r *Rates) Share { return r.NHeard }},
		{"harmless: sure E or S", func(r *Rates) Share { return r.FalseSure }},
		{"harmless: unsure", func(r *Rates) Share { return r.FalseUnsure }},
		{"harmless: written down", func(r *Rates) Share { return r.NotWritten }},
		{"diary: a danger heard", func(r *Rates) Share { return r.DiaryFalse }},
		{"diary: fully right", func(r *Rates) Share { return r.Full }},
		{"diary: in part", func(r *Rates) Share { return r.Part }},
		{"diary: asked", func(r *Rates) Share { return r.Asked }},
		{"diary: not understood", func(r *Rates) Share { return r.Not }},
		{"diary: wrong", func(r *Rates) Share { return r.Wrong }},
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%-28s", "")
	for i := range r.Rates {
		fmt.Fprintf(&b, " %-30s", r.Rates[i].Lang)
	}
	b.WriteByte('\n')
	for _, row := range rows {
		fmt.Fprintf(&b, "%-28s", row.name)
		for i := range r.Rates {
			fmt.Fprintf(&b, " %-30s", row.of(&r.Rates[i]))
		}
		b.WriteByte('\n')
	}
	for _, m := range r.Misses {
		fmt.Fprintf(&b, "%s %s %s | %s | %s", m.Where, m.What, m.Class, m.Text, m.Heard)
		if m.Expected != "" {
			fmt.Fprintf(&b, " | wanted %s", m.Expected)
		}
		b.WriteByte('\n')
	}
	_, err := io.WriteString(out, b.String())
	return err
}
