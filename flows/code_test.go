package flows

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Codes and ids are made of the seed alone, from Crockford's alphabet, and say
// where they belong.
func TestCodes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var seed [16]byte
		copy(seed[:], rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "seed"))
		id := string(NewPatientID(seed))
		code := NewCode(id[:2], seed)
		if len(id) != 18 || id[:2] > "63" || strings.Trim(id, codeAlphabet) != "" {
			t.Fatalf("id %q", id)
		}
		if len(code) != CodeLen || !strings.HasPrefix(code, id[:2]) || strings.Trim(code, codeAlphabet) != "" {
			t.Fatalf("code %q", code)
		}
		if n := NewNonce(seed, 1); len(n) != 8 || n == NewNonce(seed, 2) || strings.Trim(n, codeAlphabet) != "" {
			t.Fatalf("nonce %q", n)
		}
		// Each of the 60 bits shows: another seed gives another code.
		bit := rapid.IntRange(0, 59).Draw(t, "bit")
		other := seed
		other[bit/8] ^= 0x80 >> (bit % 8)
		if NewCode(id[:2], other) == code {
			t.Fatalf("bit %d does not show in %q", bit, code)
		}
	})
	// RFC 4648's bit order with another alphabet: five bytes are eight characters.
	if got := base32([]byte("\x00\x44\x32\x14\xc7"), 8); got != "01234567" {
		t.Errorf("%q", got)
	}
}
