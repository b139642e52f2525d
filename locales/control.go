package locales

import (
	"slices"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// maxControl is how many words a control word may have.
const maxControl = 8

// control finds a text that is one control word, "please" apart, or thanks and greetings behind one another.
func (d *dictionary) control(b []byte, lex []lexeme) (reading.Word, bool) {
	if w, ok := d.controlWord(b, lex); ok {
		return w, true
	}
	word, from := reading.NoWord, 0
	for i := 0; i <= len(lex); i++ {
		if i < len(lex) && lex[i].kind != itemMark {
			continue
		}
		if i > from {
			w, ok := d.controlWord(b, lex[from:i])
			if !ok || w != reading.WordThanks && w != reading.WordHello {
				return 0, false
			}
			if word != reading.WordThanks {
				word = w
			}
		}
		from = i + 1
	}
	return word, word != reading.NoWord
}

// controlWord finds words that are one control word, "please" apart.
func (d *dictionary) controlWord(b []byte, lex []lexeme) (reading.Word, bool) {
	var buf [96]byte
	key, n := buf[:0], 0
	for _, l := range lex {
		switch {
		case l.kind == itemMark || l.polite:
			continue
		case l.kind != itemUnknown || n == maxControl:
			return 0, false
		}
		if n > 0 {
			key = append(key, ' ')
		}
		n++
		if l.id != 0 {
			key = append(key, d.spell[l.id]...)
		} else {
			key = append(key, b[l.from:l.to]...)
		}
	}
	if n == 0 { // "please" by itself
		return 0, false
	}
	w, ok := d.whole[string(key)]
	return w, ok
}

// fewThanks is how many words thanks may have.
const fewThanks = 6

// thanks reports whether a text thanks, and says nothing else that the grammar knows: "thanks, you are a star".
func (p *prose) thanks(b []byte) bool {
	said := strings.Fields(spaced(b))
	return len(said) > 0 && len(said) <= fewThanks && !asks(b) && !p.asks && p.d.signsIn([]byte(said[0]), "")&signThanks != 0 &&
		!slices.ContainsFunc(p.ws, func(w word) bool {
			return w.kind != itemUnknown && !w.among(setOf(cYes, cOK, cFor, cAnd, cTo, cOn, cAt, cNow))
		})
}

// longestWhy is the longest text that may ask what something rests on, in bytes.
const longestWhy = 64

// asksWhy finds a text that asks what a rule, flag or number rests on, "why
// P07", and gives the id it names. What is no id of ours is for whoever answers.
func (d *dictionary) asksWhy(text string) string {
	if len(text) > longestWhy {
		return ""
	}
	var buf [2 * longestWhy]byte
	said := strings.Trim(string(fold.Text(buf[:0], text)), " \n/?!¿¡")
	for _, w := range d.whys {
		rest, ok := strings.CutPrefix(said, w)
		switch {
		case !ok:
		case rest == "":
			return reading.WhyAll
		case rest[0] == ' ' && !strings.ContainsAny(strings.TrimSpace(rest), " \n"):
			return strings.TrimSpace(rest)
		}
	}
	return ""
}

// command reads "/word", "/word@bot" and "/start CODE". An unknown command is
// read as the text behind the slash.
func (d *dictionary) command(text string, b []byte) (reading.Reading, bool) {
	n := 0
	for n < len(b) && (fold.IsLetter(b[n]) || fold.IsDigit(b[n]) || b[n] == '_') {
		n++
	}
	rest := b[n:]
	if len(rest) > 0 && rest[0] == '@' {
		for len(rest) > 0 && rest[0] > ' ' {
			rest = rest[1:]
		}
	}
	if len(rest) > 0 && rest[0] > ' ' {
		return reading.Reading{}, false
	}
	w, ok := d.whole[strings.ReplaceAll(string(b[:n]), "_", " ")]
	if !ok {
		return reading.Reading{}, false
	}
	r := reading.Reading{Word: w}
	rest = trim(rest)
	if w == reading.WordStart {
		if words := strings.Fields(text); len(words) > 1 {
			payload := strings.Join(words[1:], "")
			if r.Code = normalCode(payload); r.Code == "" { // no code of ours: nobody will own it
				r.Code = strings.ToUpper(payload[:min(len(payload), maxCode)])
			}
		}
		return r, true
	}
	r.Rest = len(rest) > 0
	return r, true
}

// Lengths of what may be meant as a code, without its separators. Ours have
// flows.CodeLen.
const (
	minCode = 8
	maxCode = 32
)

// ownCode finds a code just as the program writes them, in one piece or in its
// groups of 2, 4, 4 and 4: such a text is nothing else, whatever numbers and
// short words could be found in it.
func ownCode(text string) string {
	text = strings.TrimSpace(text)
	if len(text) < flows.CodeLen || len(text) > flows.CodeLen+3 || !strings.ContainsRune("0123456789OoIiLl",
		rune(text[1])) {
		return "" // every head ends with a digit
	}
	if groups := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '-' }); len(groups) != 1 &&
		(len(groups) != 4 || len(groups[0]) != 2 || len(groups[1]) != 4 || len(groups[2]) != 4) {
		return ""
	}
	c := normalCode(text)
	if len(c) != flows.CodeLen || !strings.ContainsAny(text, "0123456789") {
		return ""
	}
	if head := c[:2]; head != flows.StaffHead && head != flows.GroupHead && (!fold.IsDigit(c[0]) || !fold.IsDigit(c[1])) {
		return ""
	}
	return c
}

// code finds an enrolment code in a text that is nothing else.
func code(text string) string {
	// It is written in one piece, with hyphens, or in groups of one length, of
	// which the first may be shorter.
	groups := strings.Fields(text)
	digits := 0
	for i, g := range groups {
		if i > 0 && (len(g) < 4 || len(g) != len(groups[len(groups)-1]) || len(g) < len(groups[0])) {
			return ""
		}
		for _, c := range []byte(g) {
			if fold.IsDigit(c) {
				digits++
			}
		}
	}
	c := normalCode(text)
	if digits < 2 || len(groups) > 1 && (len(c) != flows.CodeLen || !fold.IsDigit(c[1])) {
		return ""
	}
	return c
}

// normalCode brings a code to upper case without separators, the letters that
// look like digits read as digits (Crockford, "Base 32"; its alphabet has no
// I, L, O and U). Empty where it cannot be one.
func normalCode(text string) string {
	var b strings.Builder
	for _, r := range strings.ToUpper(text) {
		switch {
		case r == '-' || r == ' ' || r == '\n' || r == '\r' || r == '\t':
			continue
		case r == 'O':
			r = '0'
		case r == 'I' || r == 'L':
			r = '1'
		case r >= '0' && r <= '9', r >= 'A' && r <= 'Z' && r != 'U':
		default:
			return ""
		}
		b.WriteRune(r)
		if b.Len() > maxCode {
			return ""
		}
	}
	if b.Len() < minCode {
		return ""
	}
	return b.String()
}
