package locales

import (
	"bufio"
	"os"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"

	"pgregory.net/rapid"
)

// The decimal digits of every script, against another implementation of the
// Unicode character database, named in the file.
func TestDigitsOfAllScripts(t *testing.T) {
	f, err := os.Open("testdata/digits.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	known := map[rune]bool{}
	for s := bufio.NewScanner(f); s.Scan(); {
		if strings.HasPrefix(s.Text(), "#") {
			continue
		}
		zero, err := strconv.ParseInt(s.Text(), 16, 32)
		if err != nil {
			t.Fatal(err)
		}
		for i := rune(0); i < 10; i++ {
			r := rune(zero) + i
			known[r] = true
			if v, z, ok := fold.Digit(r); !ok || v != byte(i) || z != rune(zero) {
				t.Errorf("U+%04X: %d, zero U+%04X, %v", r, v, z, ok)
			}
		}
	}
	if len(known) < 600 {
		t.Fatalf("only %d digits", len(known))
	}
	for r := rune(0); r <= unicode.MaxRune; r++ {
		_, zero, ok := fold.Digit(r)
		if ok != unicode.Is(unicode.Nd, r) || ok && !unicode.Is(unicode.Nd, zero) {
			t.Errorf("U+%04X: %v, the character database says %v", r, ok, !ok)
		}
	}
}

// A whole number in any script reads as itself; the same with a mark of
// another script's digit within it is refused.
func TestNumbersInAnyScript(t *testing.T) {
	w := load(t)
	zeros := []rune{'0', 0x0660, 0x06F0, 0x0966, 0x09E6, 0x0E50, 0x1040, 0xFF10, 0x1D7CE}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 9999).Draw(t, "n")
		zero := rapid.SampledFrom(zeros).Draw(t, "zero")
		var b strings.Builder
		for _, c := range strconv.Itoa(n) {
			b.WriteRune(zero + c - '0')
		}
		if r := w.Read(b.String()); !r.Bare.Is(n) {
			t.Fatalf("%q: %s", b.String(), says(r))
		}
		other := rapid.SampledFrom(zeros).Filter(func(z rune) bool { return z != zero }).Draw(t, "other")
		b.WriteRune(other + 1)
		if r := w.Read(b.String()); r.Doubt != reading.IsOdd {
			t.Fatalf("%q in two scripts: %s", b.String(), says(r))
		}
	})
}

// What is one plain number, and what is asked again. "pain" has the scale 0 to
// 10; a bare number has none.
func TestNumberCorpus(t *testing.T) {
	w := load(t)
	const number, half, zone, odd, ranged, ratio = 0, reading.IsHalf, reading.OutOfZone, reading.IsOdd, reading.IsRange,
		reading.IsRatio
	for _, c := range []struct {
		doubt reading.Doubt
		texts string // separated by "|"
	}{
		{number, "0|1|2|3|4|5|6|7|8|9|10|03|10.|3.0|3,0|3!| 3 |3.|3,|three|THREE|ten|zero|tres|diez|cero|nil|seis|cinco|dos|uno|one|two|four|five|eight|nine|siete|ocho|nueve|cuatro|" +
			"٠|٣|١٠|۰|۳|۷|۱۰|०|३|१०|০|৩|๐|๓|၃|０|３|１０|𝟑|𝟏𝟎|3️⃣|\u200f3|\u20663\u2069|\ufeff3|3\u200b|10/10|3/10|0/10|3 out of 10|three out of ten|3 of 10|3 de 10|٣٫٠|３．０|３，０|5.00"},
		{half, "3.5|3,5|0.5|2,25|٣٫٥|９．５|3.50|1,5|9,9|7.25|0,1"},
		{zone, "11|12|99|100|1000|9999|١١|99999|10001"},
		{ranged, "3-4|3–4|3—4|3 - 4|3 – 4|3 to 4|3 or 4|3 o 4|3 a 4|3 u 4|between 3 and 4|entre 3 y 4|0-1|3−4|3‑4|٣-٤|3 -4 or 5|3-4|2 to 3|9-10|five or six|dos o tres|2 through 3"},
		{ratio, "1/2|3/12|3⁄4|١/٢|3/4|3/010|0/010|003/10|3/10000"},
		{odd, "1e3|1E1|3e|0x3|1_0|1_000|1,000|1.000|1'000|1 000|12 345|1 000 000|3..4|3...4|3,,4|3.4.5|3,4,5|3:4:5|½|3½|¼|3²|10³|①|Ⅲ|+3|+10|<3|>3|≤3|≥3|~3|≈3|3%|3+|3x|x3|3a4|3rd4|.5|,5|" +
			".3|3^2|3=4|12٣|٣2|1２|1१|3:4|25:00|9:75|3.4567|3,1234|0.001|1٬000|3__4|1e-3|1e+3|3e10|1d3|5k|5kg|3pt"},
	} {
		for _, text := range strings.Split(c.texts, "|") {
			r := w.Read("pain " + text)
			got := r.Doubt
			switch {
			case c.doubt == number && (got != reading.NoDoubt || len(r.Tokens) != 1 || r.Tokens[0].Field != chart.Pain ||
				!r.Tokens[0].Value.Known()):
				t.Errorf("pain %q is not read: %s", text, says(r))
			case c.doubt != number && (got == reading.NoDoubt || len(r.Tokens) == 1 && r.Tokens[0].Value.Known()):
				t.Errorf("pain %q is read: %s", text, says(r))
			case c.doubt != number && got != c.doubt:
				t.Errorf("pain %q: doubt %d, want %d", text, got, c.doubt)
			}
		}
	}
}

func FuzzNumber(f *testing.F) {
	for _, s := range []string{"3", "3.5", "1,000", "2026-11-03", "9:30", "3-4", "10/10", "1e3", "999999999999",
		"1.2.3.4.5", "0000"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		b := fold.Text(nil, s)
		for i := range b {
			if !fold.IsDigit(b[i]) {
				continue
			}
			num, end := scanNumber(b, i)
			if end <= i || end > len(b) {
				t.Fatalf("%q at %d ends at %d", b, i, end)
			}
			if num.kind == isNumber && (num.n < 0 || num.n > 99999 || num.milli < 0 || num.milli > 999) {
				t.Fatalf("%q: %+v", b[i:end], num)
			}
			if num.kind == isClock && (num.n < 0 || num.n >= 1440) {
				t.Fatalf("%q: %+v", b[i:end], num)
			}
			// A plain number is nothing but digits, with one decimal mark at most.
			if said := strings.TrimSuffix(string(b[i:end]), "/10"); num.kind == isNumber && strings.Trim(said, "0123456789.,") != "" {
				t.Fatalf("%q is read as a number", b[i:end])
			}
		}
	})
}
