package locales

import (
	"strings"
	"testing"
	"unicode"

	"duskdawn/flows"

	"pgregory.net/rapid"
)

// No code is left in a text, however it is written and whatever stands around it.
func TestCodesAreMasked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var seed [16]byte
		copy(seed[:], rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "seed"))
		head := rapid.SampledFrom([]string{"00", "07", "63", flows.StaffHead, flows.GroupHead}).Draw(t, "head")
		code := flows.NewCode(head, seed)
		if strings.IndexFunc(code, unicode.IsLetter) < 0 {
			t.Skip("a long number")
		}
		grouped := code[:2] + " " + code[2:6] + " " + code[6:10] + " " + code[10:]
		form := rapid.SampledFrom([]string{code, strings.ToLower(code), grouped, strings.ReplaceAll(grouped, " ", "-")}).
			Draw(t, "form")
		around := rapid.SampledFrom([]string{"%", "/start %", "my code is % thanks", "(%)", "https://t.me/x_bot?start=%",
			"pain 3 %, and more", "código: %."}).Draw(t, "around")
		shown, staff, joins := Mask(strings.Replace(around, "%", form, 1))
		if shown != strings.Replace(around, "%", Masked, 1) {
			t.Fatalf("%q", shown)
		}
		if is := head == flows.StaffHead || head == flows.GroupHead; is != (len(staff) == 1 && staff[0] == code) {
			t.Fatalf("staff codes %q of %q", staff, form)
		} else if is == (len(joins) == 1 && joins[0] == code) {
			t.Fatalf("joining codes %q of %q", joins, form)
		}
	})
	const code = "S0ABCDEFGHJKMN"
	for _, form := range []string{"S0ABCDE FGHJKMN", "S0 ABCDEFGHJKMN", "s0  abcd  efgh  jkmn", "S0\u2011ABCD\u2011EFGH\u2011JKMN", "S0ABCDEF\u200bGHJKMN",
		"S0–ABCD–EFGH–JKMN", "*S0ABCDEFGHJKMN*", "_S0 ABCD EFGH JKMN_"} {
		shown, staff, _ := Mask("my husband found this note: " + form + ", what is it?")
		if strings.Contains(strings.ToUpper(shown), "JKMN") || len(staff) != 1 || staff[0] != code {
			t.Errorf("%q: %q, %q", form, shown, staff)
		}
	}
	for _, text := range []string{"", "so appointments", "S0 is all I see", "pain 3, snore 5", "call me on 55512345678901", "20 1234 5678 9012", "worn all night"} {
		if shown, staff, joins := Mask(text); shown != text || staff != nil || joins != nil {
			t.Errorf("%q became %q", text, shown)
		}
	}
}
