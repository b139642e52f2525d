package chart

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Column is how one field stands in a diary table: export writes it, replay
// reads it. An empty cell is unknown, "skipped" is skipped.
type Column struct {
	Name  string
	Field Field
	Min   int
	Max   int
	Words []ColumnWord // where the answers are words
}

// ColumnWord is one answer that is a word.
type ColumnWord struct {
	Word string
	N    int
}

// SkippedWord stands for a skipped answer in a diary table.
const SkippedWord = "skipped"

// columns are the diary's answer columns, in the order they are written: that
// of the fields, the settings last.
var columns = func() (out []Column) {
	var settings []Column
	for f := NoField + 1; f < NumFields; f++ {
		r := f.Row()
		c := Column{Name: r.Column, Field: f}
		for i, word := range r.Words {
			c.Words = append(c.Words, ColumnWord{word, r.Least + i})
		}
		switch {
		case r.Kind == Choice || r.Kind == YesNo:
		case r.Kind == Hours:
			c.Max = r.Most / 60
		case r.Never != "":
			c.Max, c.Words = r.Most-1, []ColumnWord{{r.Never, r.Most}}
		default:
			c.Min, c.Max = r.Least, r.Most
		}
		if r.Kind == Setting {
			settings = append(settings, c)
		} else {
			out = append(out, c)
		}
	}
	return append(out, settings...)
}()

// Columns returns the diary's answer columns in order.
func Columns() []Column { return columns }

// ErrCell says that a cell holds none of what its column may hold.
var ErrCell = errors.New("not an answer of this column")

// Format writes an answer; minutes worn are written as hours with a decimal point.
func (c Column) Format(v Answer) string {
	switch {
	case v == Skipped:
		return SkippedWord
	case !v.Known():
		return ""
	}
	for _, w := range c.Words {
		if w.N == v.N() {
			return w.Word
		}
	}
	if c.Field.Row().Kind == Hours {
		return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(float64(v.N())/60, 'f', 2, 64), "0"), ".")
	}
	return strconv.Itoa(v.N())
}

// Parse reads a cell; ErrCell, with what was expected, where it cannot.
func (c Column) Parse(s string) (Answer, error) {
	s = strings.ToLower(strings.TrimSpace(s))
	switch s {
	case "":
		return Unknown, nil
	case SkippedWord:
		return Skipped, nil
	}
	for _, w := range c.Words {
		if w.Word == s {
			return Num(w.N), nil
		}
	}
	if c.Max > 0 {
		if c.Field.Row().Kind == Hours {
			if h, err := strconv.ParseFloat(s, 64); err == nil && h >= 0 && h <= float64(c.Max) &&
				!strings.ContainsAny(s, "eExX_nN+") {
				return Num(int(h*60 + 0.5)), nil
			}
		} else if n, err := strconv.Atoi(s); err == nil && n >= c.Min && n <= c.Max && s[0] != '+' {
			return Num(n), nil
		}
	}
	return Unknown, fmt.Errorf("%w: expected %s", ErrCell, c.Expects())
}

// Expects says what a cell may hold.
func (c Column) Expects() string {
	var parts []string
	if c.Max > 0 {
		whole := "whole numbers"
		if c.Field.Row().Kind == Hours {
			whole = "a decimal point"
		}
		parts = append(parts, fmt.Sprintf("%d to %d (%s)", c.Min, c.Max, whole))
	}
	for _, w := range c.Words {
		parts = append(parts, w.Word)
	}
	return strings.Join(append(parts, SkippedWord, "or nothing"), ", ")
}
