package scheduler

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/store"

	"github.com/mtibben/confusables"
	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// A practice knows its patients by labels, and a person may read one off a card
// and type it: two labels that look alike are one. What is compared is neither
// case nor accent nor blank, and of letters that look alike (Unicode Technical Standard 39, "confusables") always the same one. Only
// what everybody sees and can type tells labels apart: letters and numbers of
// scripts in use, punctuation and the signs of sums. What is not shown at all
// (Default_Ignorable_Code_Point, Unicode Standard, chapter 5.21), and pictures,
// patterns and letters of dead scripts, some of which are blank, do not.

// scripts are those that Unicode Standard Annex 31 recommends for names, its table
// 5 (from memory), and what belongs to no script of its own.
var scripts = func() (in []*unicode.RangeTable) {
	for _, name := range []string{"Common", "Inherited", "Arabic", "Armenian", "Bengali", "Bopomofo", "Cyrillic",
		"Devanagari", "Ethiopic", "Georgian", "Greek", "Gujarati", "Gurmukhi", "Hangul", "Han", "Hebrew", "Hiragana",
		"Kannada", "Katakana", "Khmer", "Lao", "Latin", "Malayalam", "Myanmar", "Oriya", "Sinhala", "Tamil", "Telugu",
		"Thaana", "Thai", "Tibetan"} {
		in = append(in, unicode.Scripts[name])
	}
	return in
}()

// shown reports whether a sign of a label tells it from others.
func shown(r rune) bool {
	return !unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r) &&
		unicode.In(r, unicode.L, unicode.N, unicode.Mc, unicode.P, unicode.Sm, unicode.Sc) && unicode.In(r, scripts...)
}

// foldLabel is what a label is compared by. Blanks are left out of it: what is not
// shown looks like one, or like none.
func foldLabel(label string) string {
	return alike(strings.Map(func(r rune) rune {
		if shown(r) {
			return r
		}
		return -1
	}, norm.NFKD.String(label)))
}

// alike puts always the same letter for letters that look alike.
func alike(plain string) string {
	// as it is written first, since a capital looks like others than its small letter does
	alike := plain
	for range 2 {
		alike = cases.Fold().String(confusables.Skeleton(alike))
	}
	// I, l and 1 are one by their look; i is I by its case, and so one with them.
	return strings.ReplaceAll(alike, "i", "l")
}

// LabelKey is the keyed hash under which a patient is found by the practice's label.
func (r *Runner) LabelKey(label string) string { return keyed(r.secret, "label", foldLabel(label)) }

// earlierKeys are those of patients whose summary was written before labels were
// folded, and before blanks were left out.
func (r *Runner) earlierKeys(label string) []string {
	spaced := alike(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, norm.NFKD.String(label)))
	return []string{keyed(r.secret, "label", strings.ToLower(strings.TrimSpace(label))),
		keyed(r.secret, "label", strings.Join(strings.Fields(spaced), " "))}
}

// Labelled lists the patients who go by a label that looks like this one.
func (r *Runner) Labelled(ctx context.Context, label string) iter.Seq2[store.Summary, error] {
	return func(yield func(store.Summary, error) bool) {
		keys := append([]string{r.LabelKey(label)}, r.earlierKeys(label)...)
		slices.Sort(keys)
		for _, key := range slices.Compact(keys) {
			for s, err := range r.store.List(ctx, store.Query{Label: key}) {
				if !yield(s, err) || err != nil {
					return
				}
			}
		}
	}
}

// Found reports whether a patient is meant by what somebody types to find one: a
// part of the label, whatever its case and accents; the last three digits, or more,
// of the telephone; or the number of an item.
func Found(p *flows.Patient, text string) bool {
	want := foldLabel(text)
	if want == "" {
		return false
	}
	if strings.Contains(foldLabel(p.Label), want) {
		return true
	}
	digits := digitsOf(text)
	if len(digits) < 3 || len(digits) < len([]rune(strings.TrimSpace(text)))-3 { // blanks and a dash between them
		return false
	}
	if strings.HasSuffix(digitsOf(p.Phone), digits) {
		return true
	}
	n, err := strconv.ParseInt(digits, 10, 32)
	return err == nil && p.Number != 0 && flows.NumberOf(int32(n)) == p.Number
}

func digitsOf(text string) string {
	return strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, text)
}

// LabelTaken reports whether another patient goes by the practice's label, or went by it
// until the treatment ended: something may be open there yet, and it may go on. Labels
// live in every shard, so this is asked before the commit; the clinician sees
// both cards should two enrolments of one label cross.
func (r *Runner) LabelTaken(ctx context.Context, id chart.PatientID, label string) (bool, error) {
	for s, err := range r.Labelled(ctx, label) {
		if err != nil {
			return false, fmt.Errorf("looking for a label: %w", err)
		}
		if s.Ref != PatientRef(id) {
			return true, nil
		}
	}
	return false, nil
}
