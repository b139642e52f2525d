package locales

import (
	"bytes"
	"slices"
	"strings"
	"unicode/utf8"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// maxRead is how much of a text is read, in bytes: all of the platform's longest
// message, of 4,096 UTF-16 code units.
const maxRead = 3 * 4096

// Read says what a text says, in whatever language, knowing neither patient
// nor question. It takes any bytes.
func (w *Words) Read(text string) reading.Reading {
	if text = clip(text); ownCode(text) == "" {
		text = unhide(text, w.dict)
	}
	var l left
	r := w.dict.readAll(text, true, &l)
	if rest, ok := behindCommand(text); ok && (r.Word != reading.NoWord || r.Code != "") {
		if x := w.Read(rest); x.Dangerous() {
			return x // words of danger behind a command are heard
		}
	}
	if rest, ok := w.dict.behindNo(text); ok {
		r = w.Read(rest)
		r.Rest = true // it contradicts: what is stored is asked
		r.Understood = understood(&r)
		return r
	}
	if r.Features == 0 && strings.Contains(text, "\n") && r.Code == "" { // a phrase may go over the end of a line
		var one left
		r.Features = w.dict.readAll(strings.ReplaceAll(text, "\n", " "), false, &one).Features
	}
	r.Why = w.dict.asksWhy(text)
	r.Understood = understood(&r)
	w.judge(text, &r, &l)
	if !l.label { // what stands on a button says no more than that
		w.beside(text, &r)
		w.amid(text, &r)
		w.passed(text, &r)
	}
	return r
}

// parse is one reading under way.
type parse struct {
	d       *dictionary
	out     reading.Reading
	frame   frame
	has     concepts // said, and not yet of any question
	neg     bool     // a "not" waits for its word
	negLeft int      // unknown words it may still wait for
	skip    bool
	wait    [2]item // numbers and times that wait for their question
	waiting int
	whyOpen bool // why it was not worn may follow
	why     bool // was said
	topics  int  // questions named since the last mark

	left     *left
	painSaid bool
	loose    bool // something was not understood
	loners   int  // numbers that belong to no question
	last     topic
	tokens   [24]reading.Token
	n        int
	days     [8]dayAt
	nDays    int
}

// dayAt is a day that was named when so many answers had been read.
type dayAt struct {
	after int
	night civil.Date
	day   reading.Day
}

// read is what the grammar alone reads; labels are looked up first where exact is true.
func (d *dictionary) read(text string, exact bool) reading.Reading {
	var l left
	return d.readAll(text, exact, &l)
}

// readAll does the work of read, and keeps what is left for the net.
func (d *dictionary) readAll(text string, exact bool, l *left) reading.Reading {
	var foldBuf [512]byte
	var lexBuf [48]lexeme
	var itemBuf [48]item
	var hits [8]int

	b := trim(fold.Text(foldBuf[:0], text))
	if exact {
		if r, ok := d.exact[string(b)]; ok {
			r.Tokens = append([]reading.Token(nil), r.Tokens...)
			l.label = true
			return r
		}
	}
	if len(b) > 0 && b[0] == '/' {
		if r, ok := d.command(text, b[1:]); ok {
			return r
		}
	}
	if c := ownCode(text); c != "" {
		return reading.Reading{Code: c}
	}
	lex := d.lex(b, lexBuf[:0])
	p := parse{d: d}
	if len(lex) == 0 || onlyMarks(lex) {
		p.out.Symbols = true
		return p.out
	}
	if word, ok := d.control(b, lex); ok {
		p.out.Word = word
		d.meanings(lex, itemBuf[:0], &hits)
		p.out.Lang = d.language(&hits)
		return p.out
	}
	if plain := d.plain(text); plain != text {
		b = trim(fold.Text(foldBuf[:0], plain))
		lex = d.lex(b, lexBuf[:0])
	}
	items := d.meanings(lex, itemBuf[:0], &hits)
	p.out.Lang = d.language(&hits)
	items = merge(items)
	if p.bare(items) {
		if d.calls(items) {
			p.out.Features = reading.FUrgent
		}
		return p.out
	}
	l.keep(items)
	l.labelled = d.labelled(b)
	p.left = l
	for i := range items {
		p.item(items, i)
	}
	p.mark()
	p.finish(items, len(lex))
	p.out.Features, p.out.Denied = d.features(items)
	if p.n == 0 && d.calls(items) {
		p.out.Features |= reading.FUrgent
	}
	p.howTo(items)
	if p.n == 0 && p.out.Word == reading.NoWord {
		if p.out.Code = code(text); p.out.Code != "" {
			p.out.Rest, p.out.Doubt, p.out.About = false, reading.NoDoubt, chart.NoField
		}
	}
	return p.out
}

// labelled finds the questions that pieces of a folded text answer just as a button does.
func (d *dictionary) labelled(b []byte) (fields fieldSet) {
	learn := func(piece []byte) {
		piece = bytes.TrimFunc(piece, func(c rune) bool { return c >= utf8.RuneSelf || !fold.IsLetter(byte(c)) && !fold.IsDigit(byte(c)) })
		for _, t := range d.exact[string(piece)].Tokens {
			fields |= 1 << t.Field
		}
		if f, ok := d.shapes[shape(piece)]; ok {
			fields |= 1 << f
		}
	}
	for len(b) > 0 {
		end := bytes.IndexAny(b, ",;.\n")
		if learn(b); end < 0 { // the last piece, or one with a comma in it
			break
		}
		learn(b[:end])
		b = b[end+1:]
	}
	return fields
}

// fieldSet is a set of questions, a bit each.
type fieldSet uint64

const _ = uint(64 - int(chart.NumFields))

// language gives the language whose words were found; none where two have much
// the same share.
func (d *dictionary) language(hits *[8]int) string {
	best, second := -1, 0
	for i, n := range hits {
		switch {
		case n > 0 && (best < 0 || n > hits[best]):
			if best >= 0 {
				second = hits[best]
			}
			best = i
		case n > second:
			second = n
		}
	}
	if best < 0 || hits[best] < 2*second {
		return ""
	}
	return d.langs[best]
}

// bare takes a text that is one number and nothing else.
func (p *parse) bare(items []item) bool {
	at := -1
	for i, it := range items {
		switch {
		case it.kind == itemMark && (it.mark == '.' || it.mark == '!' || it.mark == ',' || it.mark == '\n'):
		case it.kind == itemNumber && at < 0:
			at = i
		default:
			return false
		}
	}
	if at < 0 {
		return false
	}
	num := items[at].num
	if num.kind != isNumber && num.kind != isBad {
		return false
	}
	n, doubt := num.whole()
	switch {
	case doubt != reading.NoDoubt:
		p.out.Doubt = doubt
	case n > 9999:
		p.out.Doubt = reading.OutOfZone
	default:
		p.out.Bare = chart.Num(n)
	}
	return true
}

// bareName is how many words a text may have that names a question and answers none.
const bareName = 4

// finish sets the tokens, their days, and what was left over.
func (p *parse) finish(items []item, words int) {
	p.unrepeat()
	if p.loners > 0 && p.n > 0 && p.out.Doubt == reading.NoDoubt {
		p.out.Doubt = reading.IsOdd
	}
	if words > bareName && p.out.Doubt == reading.NoDoubt && !slices.ContainsFunc(p.tokens[:p.n], func(t reading.Token) bool { return t.Value.Known() || t.Value == chart.Skipped }) {
		p.loose = true // words that only happen to name a question are no answer, and people are to read them
	}
	p.out.Rest = p.loose || p.loners > 0 || p.n == 0 && p.out.Word == reading.NoWord && p.out.Doubt == reading.NoDoubt
	if p.n == 0 {
		return
	}
	for i := 0; i < p.n; i++ {
		at := -1
		for j := 0; j < p.nDays; j++ {
			switch {
			case p.nDays == 1:
				at = j
			case p.days[0].after == 0 && p.days[j].after <= i: // days stand before their answers
				at = j
			case p.days[0].after > 0 && at < 0 && p.days[j].after > i: // behind them
				at = j
			}
		}
		if at >= 0 {
			p.tokens[i].Night, p.tokens[i].Day = p.days[at].night, p.days[at].day
		}
	}
	p.out.Tokens = append([]reading.Token(nil), p.tokens[:p.n]...)
}

// unrepeat takes out every answer that was given twice, differently, for one
// day: which one holds is asked, not guessed.
func (p *parse) unrepeat() {
	if p.nDays > 1 {
		return
	}
	all, keep := p.tokens, 0
	for i, t := range all[:p.n] {
		drop := false
		for j, u := range all[:p.n] {
			if i == j || u.Field != t.Field {
				continue
			}
			switch {
			case u.Value == t.Value:
				drop = drop || j < i // said twice alike
			case !t.Value.Known():
				drop = true // named again without a value
			case u.Value.Known():
				drop = true
				p.doubt(t.Field, reading.Repeated)
			}
		}
		if !drop {
			p.tokens[keep] = t
			keep++
		}
	}
	p.n = keep
}

// token keeps an answer.
func (p *parse) token(f chart.Field, v chart.Answer) {
	if p.n < len(p.tokens) {
		p.tokens[p.n] = reading.Token{Field: f, Value: v}
		p.n++
	}
	if f == chart.Pain || f == chart.Woken {
		p.painSaid = true
	}
}

// negated marks the answer that was kept last: it is a "not", and no number.
func (p *parse) negated() {
	if p.n > 0 {
		p.tokens[p.n-1].Negated = true
	}
}

// number keeps a number that answers a question, or why it does not.
func (p *parse) number(f chart.Field, num numeral, least, most int) {
	n, doubt := num.whole()
	switch {
	case doubt != reading.NoDoubt:
		p.doubt(f, doubt)
	case num.neg:
		p.doubt(f, reading.IsOdd)
	case n < least || n > most:
		p.doubt(f, reading.OutOfZone)
	default:
		p.token(f, chart.Num(n))
	}
}

func (p *parse) doubt(f chart.Field, d reading.Doubt) {
	if p.out.Doubt == reading.NoDoubt {
		p.out.Doubt, p.out.About = d, f
	}
}

func onlyMarks(lex []lexeme) bool {
	for _, l := range lex {
		if l.kind != itemMark {
			return false
		}
	}
	return true
}

func trim(b []byte) []byte {
	for len(b) > 0 && b[0] <= ' ' && b[0] != fold.OddMark {
		b = b[1:]
	}
	for len(b) > 0 && b[len(b)-1] <= ' ' && b[len(b)-1] != fold.OddMark {
		b = b[:len(b)-1]
	}
	return b
}
