package chart

import "testing"

// A share of the protrusive range is rounded half up, behind the zero, too, where a
// jaw that was set back from the habitual bite stands.
func TestShareIsRoundedHalfUp(t *testing.T) {
	for _, x := range []struct {
		most, um Micrometres
		tenths   int
	}{{8000, 12, 2}, {8000, 4, 1}, {8000, 3, 0}, {8000, 0, 0}, {8000, -4, 0}, {8000, -5, -1}, {8000, -8, -1},
		{8000, -12, -1}, {8000, -13, -2}, {1999, -1, -1}, {2000, -1, 0}, {1, 1, 1000}, {0, 5, 0}, {-1, 5, 0}} {
		if got := ShareOf(&Baseline{Max: x.most, Zero: ZeroHabitual}, x.um); got != x.tenths {
			t.Errorf("%d of %d micrometres: %d tenths of a per cent, want %d", x.um, x.most, got, x.tenths)
		}
	}
}
