package chart

import (
	"errors"
	"testing"
)

// What a night can hold is written and read back, each answer of each field.
func TestColumnsRoundTrip(t *testing.T) {
	for _, c := range Columns() {
		values := []Answer{Unknown, Skipped}
		for n := c.Field.Row().Least; n <= c.Field.Row().Most; n++ {
			values = append(values, Num(n))
		}
		for _, v := range values {
			got, err := c.Parse(c.Format(v))
			if err != nil || got != v {
				t.Errorf("%s: %d written as %q came back as %d, %v", c.Name, v, c.Format(v), got, err)
			}
		}
	}
}

func TestColumnsRefuse(t *testing.T) {
	for _, c := range Columns() {
		for _, s := range []string{"-100", "1e3", "NaN", "+1", "maybe", "3-4", "1_0", "=1"} {
			if v, err := c.Parse(s); !errors.Is(err, ErrCell) {
				t.Errorf("%s took %q as %d", c.Name, s, v)
			}
		}
	}
}

// Every field of a night has its column.
func TestEveryFieldHasAColumn(t *testing.T) {
	have := map[Field]bool{NoField: true}
	for _, c := range Columns() {
		have[c.Field] = true
	}
	for f := NoField; f < NumFields; f++ {
		if !have[f] {
			t.Errorf("%s (field %d) has no column", f.Row().Name, f)
		}
	}
}
