package answer

import (
	"bytes"
	"slices"

	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
)

// Tokens are the words, the figures and the marks of a text in their order, as the tagger hears them.
type Tokens struct {
	Inputs []uint32 // numbers of all that is heard of them, one token behind the other
	All    []Token
}

// Token is one of them: what it is, and by which letters it is written.
type Token struct {
	From, Letters, To int32 // its inputs: what it is stands before Letters, runs of letters from there
	Figure            bool
}

// kinds of inputs of tokens: all are hashed like those of texts.
const (
	tokenWord    uint8 = 96 + iota // a word
	tokenMark                      // a mark between words
	tokenLetters                   // letters of a word
	tokenSize                      // a figure, by its size
	tokenNumber                    // the number itself
	tokenUnit                      // letters behind its digits
	tokenOdd                       // it is no whole number, or a part of another one
	tokenDigits                    // digits that are no figure
	tokenClock                     // a figure that is a part of a time of day
)

const (
	mostTokens = 160               // of a text; who writes more is asked
	marks      = ".,;:!?/()-+&=\n" // those that are heard
	largest    = 60                // the largest number that is heard as itself
	leastRun   = 3                 // of letters
	mostRun    = 4
)

// cut cuts a folded text of these words into tokens. The figures and the times of day are those of the same text.
func (t *Tokens) cut(b []byte, ws []fold.Span, figures []Figure, times []Clock) {
	t.Inputs, t.All = t.Inputs[:0], t.All[:0]
	at, next := 0, 0
	for i := 0; i < len(ws); i++ {
		t.marks(b[at:ws[i].From])
		if next < len(figures) && figures[next].from == i {
			t.figure(b, ws, &figures[next], times)
			i = figures[next].to - 1
			next++
		} else {
			t.word(ws[i].Of(b))
		}
		at = int(ws[i].To)
	}
	t.marks(b[at:])
}

// begin begins a token; what is heard is added to it.
func (t *Tokens) begin() *Token {
	n := int32(len(t.Inputs))
	t.All = append(t.All, Token{From: n, Letters: n, To: n})
	return &t.All[len(t.All)-1]
}

func (t *Tokens) add(h uint32) {
	t.Inputs = append(t.Inputs, linear.Settle(h))
	t.All[len(t.All)-1].To++
}

func (t *Tokens) marks(between []byte) {
	for _, c := range between {
		if bytes.IndexByte([]byte(marks), c) >= 0 {
			token := t.begin()
			t.add(linear.Mix(linear.Seed(tokenMark), []byte{c}))
			token.Letters = token.To
		}
	}
}

// Mark is a mark alone.
func Mark(c byte) (t Tokens) {
	t.marks([]byte{c})
	return t
}

// Append puts other tokens behind them.
func (t *Tokens) Append(other *Tokens) {
	n := int32(len(t.Inputs))
	t.Inputs = append(t.Inputs, other.Inputs...)
	for _, o := range other.All {
		t.All = append(t.All, Token{From: o.From + n, Letters: o.Letters + n, To: o.To + n, Figure: o.Figure})
	}
}

func (t *Tokens) figure(b []byte, ws []fold.Span, g *Figure, times []Clock) {
	token := t.begin()
	token.Figure = true
	size := byte(0)
	for _, top := range []int16{0, 3, 10, 15, 24, 60} {
		size += byte(btoi(g.N > top))
	}
	t.add(linear.Mix(linear.Seed(tokenSize), []byte{size}))
	if g.N <= largest {
		t.add(linear.Mix(linear.Seed(tokenNumber), []byte{byte(g.N)}))
	}
	if g.unit != "" {
		t.add(linear.Mix(linear.Seed(tokenUnit), []byte(g.unit)))
	}
	if !g.Whole || g.Quarters > 0 {
		t.add(linear.Mix(linear.Seed(tokenOdd), []byte{byte(btoi(g.Whole)), byte(g.Quarters)}))
	}
	if slices.ContainsFunc(times, func(c Clock) bool { return !c.Bare && c.Has(g) }) {
		t.add(linear.Seed(tokenClock))
	}
	for _, w := range ws[g.from:g.to] {
		if word := w.Of(b); !fold.IsDigit(word[0]) {
			t.add(linear.Mix(linear.Seed(tokenWord), word))
		}
	}
	token.Letters = token.To
}

func (t *Tokens) word(word []byte) {
	token := t.begin()
	if fold.IsDigit(word[0]) {
		t.add(linear.Mix(linear.Seed(tokenDigits), []byte{byte(min(len(word), 5))}))
		token.Letters = token.To
		return
	}
	t.add(linear.Mix(linear.Seed(tokenWord), word))
	token.Letters = token.To
	at := func(i int) byte { // the word with a mark before and behind it
		switch i {
		case 0:
			return '^'
		case len(word) + 1:
			return '$'
		}
		return word[i-1]
	}
	for i := 0; i+leastRun <= len(word)+2; i++ {
		h := linear.Seed(tokenLetters)
		for j := i; j < min(i+mostRun, len(word)+2); j++ {
			if h = (h ^ uint32(at(j))) * linear.Prime; j-i+1 >= leastRun {
				t.add(h)
			}
		}
	}
}

// Know replaces the inputs by the rows that a tagger has for them, and drops those that it does not know.
func (t *Tokens) Know(rows map[uint32]uint32) {
	kept := int32(0)
	for i := range t.All {
		token := &t.All[i]
		from, letters := kept, kept
		for j := token.From; j < token.To; j++ {
			if j == token.Letters {
				letters = kept
			}
			if row, ok := rows[t.Inputs[j]]; ok {
				t.Inputs[kept] = row
				kept++
			}
		}
		if token.Letters == token.To {
			letters = kept
		}
		*token = Token{from, letters, kept, token.Figure}
	}
	t.Inputs = t.Inputs[:kept]
}

// TokensOf cuts a folded text into tokens, and gives its figures and its times of day; false where it is too long to be heard.
func TokensOf(text []byte) (t Tokens, all []Figure, times []Clock, ok bool, err error) {
	numbers, err := readNumbers()
	if err != nil {
		return t, nil, nil, false, err
	}
	all, times, ok = t.of(text, numbers)
	return t, all, times, ok, nil
}

// of cuts a folded text into tokens, and gives its figures and its times of day; false where it is too long to be heard.
func (t *Tokens) of(text []byte, numbers numberWords) (all []Figure, times []Clock, ok bool) {
	var buf [mostTokens]fold.Span
	ws := fold.Words(text, buf[:0])
	if len(ws) > mostTokens {
		return nil, nil, false
	}
	if all = figures(text, ws, numbers, nil); len(all) == MaxFigures {
		return nil, nil, false
	}
	times = clocks(text, ws, numbers, nil)
	t.cut(text, ws, all, times)
	return all, times, len(t.All) <= mostTokens
}
