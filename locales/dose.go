package locales

import (
	"strconv"
	"strings"

	"duskdawn/locales/fold"
)

// A medicine that is taken as people take it sounds like too much of one to a net that hears single words: what tells them apart is how
// many, and whether it is as always. People read it all the same.

// dose is the most that somebody may have taken at once of what is taken every day: more than two is asked about (common practice, no source).
const dose = 2

// aDose reports whether a folded text tells of a medicine as people take it: "two paracetamol, then bed", "all my tablets, as every morning".
func (d *dictionary) aDose(b []byte, lang string) bool {
	s := d.signsIn(b, lang)
	if s&signUsual != 0 {
		return d.signsIn(d.cut(b, signUsual, lang), lang)&signExcess == 0 && !d.doses(b)
	}
	return s&(signDose|signExcess) == signDose && !d.doses(b)
}

// doses reports whether a folded text has a number that may count more than a dose: a time of day, and a strength behind the name
// of a medicine, count nothing.
func (d *dictionary) doses(b []byte) bool {
	words := strings.FieldsFunc(string(b), func(c rune) bool { return !fold.IsLetter(byte(c)) && !fold.IsDigit(byte(c)) })
	for i, w := range words {
		digits := strings.TrimRight(w, "abcdefghijklmnopqrstuvwxyz")
		n, err := strconv.Atoi(digits)
		before, behind := "", w[len(digits):]
		if i > 0 {
			before = words[i-1]
		}
		if behind == "" && i+1 < len(words) {
			behind = words[i+1]
		}
		if err == nil && n > dose && d.signsIn([]byte(before), "")&(signDose|signHour) == 0 && d.signsIn([]byte(behind), "")&signUnit == 0 {
			return true
		}
	}
	return false
}

// cut cuts signs of a kind out of a folded text.
func (d *dictionary) cut(b []byte, kind signs, lang string) []byte {
	langs, text := d.signLangs(lang), spaced(b)
	for _, s := range d.signs {
		if s.langs&langs != 0 && s.of == kind {
			text = strings.ReplaceAll(text, s.text, " ")
		}
	}
	return []byte(text)
}
