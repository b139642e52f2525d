package phone

import "testing"

// Lengths by the national numbering plans, from memory: nine digits in Spain (Real
// Decreto 2296/2004), ten in North America and seven within an area, of which
// 555-0100 to 555-0199 are kept for fiction; ten after 0 in the United Kingdom, where
// Ofcom keeps 020 7946 0xxx for drama. None is an example of the library's own.
func TestPossible(t *testing.T) {
	for _, c := range []struct {
		number, country string
		want            bool
	}{
		{"600 000 012", "ES", true}, {"+34 600 000 012", "ES", true}, {"60 000 012", "ES", false}, {"6000000123", "ES", false},
		{"555 0112", "US", true}, {"(212) 555-0112", "US", true}, {"+1 212 555 0112", "ES", true}, {"555 01", "US", false},
		{"212 555 011245", "US", false}, {"020 7946 0123", "GB", true}, {"020 7946 01234", "GB", false}, {"+34 6", "US", false},
		{"+999 123 456 789", "ES", false}, {"12", "ES", false},
		{"12345", "", true}, {"+34 60", "", false}, {" +34 600000012 ", "", true}, {"600000012", "es", true},
	} {
		if got := Possible(c.number, c.country); got != c.want {
			t.Errorf("%q in %q: %v", c.number, c.country, got)
		}
	}
}

func TestKnown(t *testing.T) {
	for country, want := range map[string]bool{"ES": true, "us": true, "XX": false, "": false, "Spain": false} {
		if Known(country) != want {
			t.Errorf("%q: %v", country, !want)
		}
	}
}
