package locales

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"duskdawn/locales/fold"
)

// lettersOf are the letters that signs, digits and letters of other scripts stand for in words written so that a
// filter would not see them.
var lettersOf = strings.NewReplacer("0", "o", "1", "i", "3", "e", "4", "a", "5", "s", "7", "t", "@", "a", "$", "s",
	"а", "a", "е", "e", "о", "o", "р", "p", "с", "c", "у", "y", "х", "x", "і", "i", "ѕ", "s", "ԁ", "d", "т", "t", "н", "h",
	"к", "k", "м", "m", "в", "b", "α", "a", "ε", "e", "ο", "o", "ι", "i", "ρ", "p", "τ", "t", "υ", "u", "χ", "x", "ν", "v")

// stands are those signs, digits and letters.
const stands = "013457@$аеорсухіѕԁтнкмвαεοιρτυχν"

// unhide puts letters for the digits and signs within a word, where that makes it a word of the dictionaries: "ch3st"
// is "chest". All else stays as it is.
func unhide(text string, d *dictionary) string {
	if !strings.ContainsAny(text, stands) {
		return text
	}
	words, changed := strings.Fields(text), false
	for i, word := range words {
		bare := strings.Trim(word, ".,;:!?()")
		first, _ := utf8.DecodeRuneInString(bare)
		last, end := utf8.DecodeLastRuneInString(bare)
		least := 3
		if !unicode.IsLetter(last) { // a code, or a rule: "C450", "P13"
			least = 5
		}
		// a number behind a word is one: "pain3"
		if len(bare) < least || !unicode.IsLetter(first) || !strings.ContainsAny(bare[:len(bare)-end], stands) {
			continue
		}
		plain := lettersOf.Replace(strings.ToLower(bare))
		if _, known := d.words[string(fold.Text(nil, plain))]; known {
			words[i], changed = strings.Replace(word, bare, plain, 1), true
		}
	}
	if !changed {
		return text
	}
	return strings.Join(words, " ")
}

// behindCommand is what stands behind "/start" or another command, where it is several words: a code is one, or
// groups of four.
func behindCommand(text string) (string, bool) {
	text = strings.TrimSpace(text)
	_, rest, ok := strings.Cut(text, " ")
	if !ok || text[0] != '/' || normalCode(rest) != "" && strings.ContainsAny(rest, "0123456789") {
		return "", false
	}
	return rest, true
}

// behindNo is what stands behind a "no" that contradicts somebody, and denies nothing of it: "no, I did wear it".
func (d *dictionary) behindNo(text string) (string, bool) {
	no, rest, ok := strings.Cut(strings.TrimSpace(text), " ")
	rest = strings.TrimSpace(rest)
	next, _, _ := strings.Cut(rest, " ")
	after := d.naysay[strings.ToLower(strings.TrimRight(no, ",.!"))]
	return rest, ok && slices.Contains(after, strings.ToLower(strings.TrimRight(next, ",.!")))
}

// plain writes a word that only its accent, or an apostrophe, tells from another as what is read for it: folded, both are one.
func (d *dictionary) plain(text string) string {
	if len(d.accents) == 0 || !strings.ContainsFunc(text, func(r rune) bool { return r >= utf8.RuneSelf || r == '\'' }) {
		return text
	}
	words, changed := strings.Split(text, " "), false
	for i, word := range words {
		bare := strings.Trim(word, ".,;:!?¡()")
		if other, ok := d.accents[strings.ToLower(bare)]; ok {
			words[i], changed = strings.Replace(word, bare, other, 1), true
		}
	}
	if !changed {
		return text
	}
	return strings.Join(words, " ")
}
