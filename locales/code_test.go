package locales

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/locales/fold"

	"pgregory.net/rapid"
)

// Every code that the program makes is read as that code: by link, typed in one
// piece, in groups of four, in lower case.
func TestCodesAreRead(t *testing.T) {
	w, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		var seed [16]byte
		copy(seed[:], rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "seed"))
		head := rapid.SampledFrom([]string{"00", "07", "63", flows.StaffHead, flows.GroupHead}).Draw(t, "head")
		code := flows.NewCode(head, seed)
		lower := make([]byte, len(code))
		for i := range code {
			lower[i] = code[i]
			if fold.IsLetter(code[i] | 0x20) {
				lower[i] |= 0x20
			}
		}
		for _, text := range []string{"/start " + code, "/start@a_bot " + code, code, string(lower), code[:2] + "-" +
			code[2:6] + "-" + code[6:10] + "-" + code[10:],
			code[:2] + " " + code[2:6] + " " + code[6:10] + " " + code[10:]} {
			if got := w.Read(text).Code; got != code {
				t.Fatalf("%q was read as %q", text, got)
			}
		}
	})
}
