// Package fold brings texts to the one form in which words are compared.
package fold

import (
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// OddMark stands in a folded text where a number was written with something
// that is no plain digit: a fraction, a superscript, digits of two scripts.
const OddMark = 0x01

// Text brings a text to the form the dictionaries are written in: lower case,
// no accents, compatibility forms replaced (NFKD), digits of every script as
// 0 to 9, direction marks and other invisible characters gone. Bytes that are
// no text become spaces.
func Text(dst []byte, s string) []byte {
	zero := '0' // of the script the last digit came from
	for i := 0; i < len(s); {
		c := s[i]
		if c < utf8.RuneSelf {
			i++
			switch {
			case 'A' <= c && c <= 'Z':
				c += 'a' - 'A'
			case '0' <= c && c <= '9':
				if zero != '0' && lastIsDigit(dst) {
					dst = append(dst, OddMark)
				}
				zero = '0'
			case c == '\'' || c == '`':
				if lastIsLetter(dst) {
					continue // "can't" is "cant"
				}
				c = '\''
			case c == '\t' || c == '\r':
				c = ' '
			case c < ' ' && c != '\n' || c == 0x7F:
				continue
			}
			dst = append(dst, c)
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		i += size
		dst, zero = foldRune(dst, r, zero)
	}
	return dst
}

// foldRune folds one character outside ASCII.
func foldRune(dst []byte, r, zero rune) ([]byte, rune) {
	switch {
	case r == utf8.RuneError:
		return append(dst, ' '), zero
	case 0xC0 <= r && r < 0xFF && r != 0xD7 && r != 0xF7:
		return append(dst, latin[r&0x1F]...), zero
	}
	if v, z, ok := Digit(r); ok {
		if z != zero && lastIsDigit(dst) {
			dst = append(dst, OddMark)
		}
		return append(dst, '0'+v), z
	}
	switch r {
	case 0x2019, 0x2018, 0x02BC, 0x00B4, 0x2032: // apostrophes
		if lastIsLetter(dst) {
			return dst, zero
		}
		return append(dst, '\''), zero
	case 0x2010, 0x2011, 0x2012, 0x2013, 0x2014, 0x2015, 0x2212, 0xFE58, 0xFE63, 0xFF0D: // dashes and the minus
		return append(dst, '-'), zero
	case 0x066B: // Arabic decimal mark
		return append(dst, '.'), zero
	case 0x066C: // Arabic thousands mark
		return append(dst, OddMark), zero
	case 0x060C, 0x3001, 0xFF0C: // commas
		return append(dst, ','), zero
	case 0x061B:
		return append(dst, ';'), zero
	case 0x3002, 0x06D4: // full stops
		return append(dst, '.'), zero
	case 0x00AA, 0x00BA: // ordinal marks
		return dst, zero
	case 0x2044, 0x2215: // fraction slashes
		return append(dst, '/'), zero
	case 0x2264, 0x2265, 0x2248: // at most, at least, about
		return append(dst, '<'), zero
	case 0x2028, 0x2029, 0x0085:
		return append(dst, '\n'), zero
	}
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf, unicode.Cc):
		return dst, zero
	case unicode.In(r, unicode.No, unicode.Nl): // fractions, superscripts, circled and Roman numbers
		return append(dst, OddMark), zero
	case unicode.IsSpace(r):
		return append(dst, ' '), zero
	}
	var buf [64]byte
	for _, d := range string(norm.NFKD.AppendString(buf[:0], string(r))) {
		switch {
		case d < utf8.RuneSelf:
			d = unicode.ToLower(d)
			if d == '\n' || d >= ' ' && d != 0x7F {
				dst = append(dst, byte(d))
			}
		case unicode.IsLetter(d):
			dst = utf8.AppendRune(dst, unicode.ToLower(d))
		case unicode.Is(unicode.Mn, d):
		default:
			dst = append(dst, ' ')
		}
	}
	return dst, zero
}

// latin is Latin-1's letters without case and accents, from 0xC0 and 0xE0.
var latin = [32]string{
	"a", "a", "a", "a", "a", "a", "ae", "c", "e", "e", "e", "e", "i", "i", "i", "i",
	"d", "n", "o", "o", "o", "o", "o", "", "o", "u", "u", "u", "u", "y", "th", "ss",
}

// Digit gives the value of a decimal digit of any script, and the zero of its
// script. The blocks of decimal digits are ten long and in order (Unicode
// Standard 4.6: characters of category Nd form contiguous runs of ten).
func Digit(r rune) (v byte, zero rune, ok bool) {
	if r <= '9' {
		return byte(r - '0'), '0', r >= '0'
	}
	if !unicode.Is(unicode.Nd, r) {
		return 0, 0, false
	}
	for _, t := range unicode.Nd.R16 {
		if lo, hi := rune(t.Lo), rune(t.Hi); lo <= r && r <= hi {
			d := (r - lo) % 10
			return byte(d), r - d, true
		}
	}
	for _, t := range unicode.Nd.R32 {
		if lo, hi := rune(t.Lo), rune(t.Hi); lo <= r && r <= hi {
			d := (r - lo) % 10
			return byte(d), r - d, true
		}
	}
	return 0, 0, false
}

func lastIsDigit(b []byte) bool {
	return len(b) > 0 && IsDigit(b[len(b)-1])
}

func lastIsLetter(b []byte) bool {
	return len(b) > 0 && IsLetter(b[len(b)-1])
}

// IsDigit reports whether a byte of a folded text is a digit.
func IsDigit(c byte) bool { return '0' <= c && c <= '9' }

// IsLetter reports whether a byte of a folded text belongs to a letter.
func IsLetter(c byte) bool { return 'a' <= c && c <= 'z' || c >= utf8.RuneSelf }
