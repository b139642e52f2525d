package chart

import "testing"

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
