package locales

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"duskdawn/flows"
)

// Masked stands for a code that nobody is to read.
const Masked = "•••"

// Mask takes every code out of a text, whole or in its groups, alone or in a
// link, so that no card, journal or export can quote it. The codes of staff and
// of the group come back, and those by which patients join. What stands as it is
// printed goes first: the end of one code and a word behind it may look like another.
func Mask(text string) (shown string, staff, joins []string) {
	shown, staff, joins = maskPrinted(text)
	shown, loose := maskStaff(shown)
	return shown, append(staff, loose...), joins
}

// maskPrinted takes out codes as they are printed, in one piece or in groups.
func maskPrinted(text string) (shown string, staff, joins []string) {
	words := runs(text)
	var b strings.Builder
	at := 0
	for i := 0; i < len(words); i++ {
		for _, n := range [...]int{4, 1} { // a code in groups of two and four, or in one piece
			if i+n > len(words) {
				continue
			}
			from, to := words[i].from, words[i+n-1].to
			code := ownCode(join(text, words[i:i+n]))
			if code == "" || strings.IndexFunc(code, unicode.IsLetter) < 0 { // a long number is no code
				continue
			}
			if strings.HasPrefix(code, flows.StaffHead) || strings.HasPrefix(code, flows.GroupHead) {
				staff = append(staff, code)
			} else {
				joins = append(joins, code)
			}
			b.WriteString(text[at:from])
			b.WriteString(Masked)
			at = to
			i += n - 1
			break
		}
	}
	b.WriteString(text[at:])
	return b.String(), staff, joins
}

// maskStaff takes out the codes of staff and of the group in whatever pieces they
// stand: whoever finds one on a card would type it as he sees it.
func maskStaff(text string) (shown string, staff []string) {
	var b strings.Builder
	at := 0
	for i := 0; i+1 < len(text); i++ {
		if r, _ := utf8.DecodeLastRuneInString(text[:i]); r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			continue
		}
		if code, end := staffCode(text[i:]); code != "" {
			staff = append(staff, code)
			b.WriteString(text[at:i])
			b.WriteString(Masked)
			at = i + end
			i = at - 1
		}
	}
	if at == 0 {
		return text, nil
	}
	b.WriteString(text[at:])
	return b.String(), staff
}

// staffCode finds a code of staff or of the group that a text begins with, and where
// it ends: its head as it is printed, then its signs with up to three others between
// two of them that are neither letter, digit nor a mark that ends a sentence.
func staffCode(text string) (code string, end int) {
	if head := strings.ToUpper(text[:2]); head != flows.StaffHead && head != flows.GroupHead {
		return "", 0
	}
	var signs strings.Builder
	between := 0
	for i, r := range text {
		switch is := unicode.IsLetter(r) || unicode.IsDigit(r); {
		case signs.Len() == flows.CodeLen && is:
			return "", 0 // a longer word
		case signs.Len() == flows.CodeLen:
			return normalCode(signs.String()), end
		case is && r < utf8.RuneSelf:
			signs.WriteRune(r)
			between, end = 0, i+1
		case is, strings.ContainsRune(".!?\n", r), between == 3:
			return "", 0
		default:
			between++
		}
	}
	if signs.Len() < flows.CodeLen {
		return "", 0
	}
	return normalCode(signs.String()), end
}

type run struct{ from, to int }

// runs are the runs of letters, digits and hyphens of a text.
func runs(text string) (out []run) {
	in := -1
	for i, r := range text {
		switch is := unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-'; {
		case is && in < 0:
			in = i
		case !is && in >= 0:
			out = append(out, run{in, i})
			in = -1
		}
	}
	if in >= 0 {
		out = append(out, run{in, len(text)})
	}
	return out
}

// join writes words with one blank between them; with more than blanks between
// them they are no code.
func join(text string, words []run) string {
	var b strings.Builder
	for i, w := range words {
		if i > 0 {
			if r, n := utf8.DecodeRuneInString(text[words[i-1].to:]); n != w.from-words[i-1].to || !unicode.IsSpace(r) {
				return ""
			}
			b.WriteByte(' ')
		}
		b.WriteString(text[w.from:w.to])
	}
	return b.String()
}
