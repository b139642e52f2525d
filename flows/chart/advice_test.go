package chart

import (
	"slices"
	"testing"
)

// Every action has a name of its own, and a number that is no action has that of none.
func TestActionNames(t *testing.T) {
	seen := map[string]Action{}
	for a := NoAction; a <= Forward; a++ {
		if b, twice := seen[a.String()]; twice || a.String() == "" {
			t.Errorf("%d and %d are both called %q", b, a, a)
		}
		seen[a.String()] = a
	}
	for _, a := range []Action{Forward + 1, 255} {
		if a.String() != NoAction.String() {
			t.Errorf("%d is called %q", uint8(a), a)
		}
	}
}

// A set yields each of its rules once, by number, up to the last that it has room for.
func TestRulesOfASet(t *testing.T) {
	var all Rules
	var want []Rule
	for r := range Rule(32) {
		all = all.With(r)
		want = append(want, r)
	}
	for set, want := range map[Rules][]Rule{0: nil, Rules(0).With(18).With(3): {3, 18}, all: want} {
		if got := slices.Collect(set.All()); !slices.Equal(got, want) {
			t.Errorf("%b yields %v, want %v", set, got, want)
		}
	}
}
