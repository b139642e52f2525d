package chart

import (
	"regexp"
	"slices"
	"testing"
)

// Every field has its row, and no two are alike in what names them.
func TestEveryFieldHasItsRow(t *testing.T) {
	plain := regexp.MustCompile(`^[a-z]+$`)
	column := regexp.MustCompile(`^[a-z]+(_[a-z]+)*$`)
	seen := map[string]Field{}
	for f := NoField + 1; f < NumFields; f++ {
		r := f.Row()
		if !plain.MatchString(r.Name) || !column.MatchString(r.Column) || r.Kind < Choice || r.Kind > Setting {
			t.Errorf("field %d, %q: name, column %q or kind %d is missing", f, r.Name, r.Column, r.Kind)
			continue
		}
		for _, key := range []string{"name " + r.Name, "column " + r.Column} {
			if old, ok := seen[key]; ok {
				t.Errorf("field %d has the %s of field %d", f, key, old)
			}
			seen[key] = f
		}
		if g, ok := Named(r.Name); !ok || g != f {
			t.Errorf("%s is found as field %d", r.Name, g)
		}
		words := slices.Clone(r.Words)
		slices.Sort(words)
		switch {
		case r.Most <= r.Least, r.Said > r.Most, r.Said <= r.Least:
			t.Errorf("%s goes from %d to %d, said up to %d", r.Name, r.Least, r.Most, r.Said)
		case r.Kind == Choice != (len(r.Words) > 0 && r.Kind != YesNo), len(slices.Compact(words)) != len(r.Words):
			t.Errorf("%s has the words %q", r.Name, r.Words)
		case r.Never != "" && r.Kind != Minutes:
			t.Errorf("%s is no length of time in minutes that may be %q", r.Name, r.Never)
		case r.With == NoField || r.With >= NumFields || r.With.Row().With != r.With:
			t.Errorf("%s is said along with field %d, which is no question of its own", r.Name, r.With)
		case r.About > AsTurned || (r.About == AsTurned) != (r.Kind == Setting):
			t.Errorf("%s is about the half %d", r.Name, r.About)
		}
	}
	if _, ok := Named(""); ok {
		t.Error("nothing has a name")
	}
	if r := NumFields.Row(); r.Name != "" || NumFields.Takes(Num(1)) {
		t.Errorf("what is no field has the row %+v", r)
	}
}

// A field takes its bounds and nothing beyond them; unknown and skipped always.
func TestBoundsOfFields(t *testing.T) {
	for f := NoField + 1; f < NumFields; f++ {
		r := f.Row()
		if !f.Takes(Num(r.Least)) || !f.Takes(Num(r.Most)) || f.Takes(Num(r.Least-1)) || f.Takes(Num(r.Most+1)) ||
			!f.Takes(Unknown) || !f.Takes(Skipped) {
			t.Errorf("%s does not take %d to %d", r.Name, r.Least, r.Most)
		}
	}
}
