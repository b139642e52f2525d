package locales

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"duskdawn/flows/civil"
	"duskdawn/flows/message"

	"golang.org/x/text/unicode/bidi"
)

// formats is what a language needs for dates, numbers and lists. The names of
// days and months are our own: the libraries' ones bring other calendars and
// digits with them.
type formats struct {
	weekdays [7]string
	months   [12]string
	decimal  string // the decimal mark
	comma    string // between the items of a list
}

// formats reads the fixed words of one language at the start.
func (w *Words) formats(t *tongue) (formats, error) {
	var f formats
	var missing string
	get := func(key string) string {
		s, ok := w.localize(t, message.Line{Key: key}, 0)
		if !ok {
			missing = key
		}
		return s
	}
	for i := range f.weekdays {
		f.weekdays[i] = get("format.weekday." + strconv.Itoa(i))
	}
	for i := range f.months {
		f.months[i] = get("format.month." + strconv.Itoa(i+1))
	}
	f.decimal = get("format.decimal")
	f.comma = get("format.list.comma")
	if missing != "" {
		return f, fmt.Errorf("no text for %q", missing)
	}
	return f, nil
}

// value writes one argument in a language.
func (w *Words) value(t *tongue, a message.Arg, depth int) string {
	switch a.Kind {
	case message.ArgNumber:
		return strconv.FormatInt(a.N, 10)
	case message.ArgText:
		return t.personal(a.S)
	case message.ArgKey:
		return w.part(t, depth, a.S)
	case message.ArgDate:
		d := civil.Date(a.N)
		year, month, day := d.Time().Date()
		args := []message.Arg{raw("weekday", t.forms.weekdays[d.Weekday()]), raw("day", strconv.Itoa(day)), raw("month", t.forms.months[month-1])}
		if w.year != 0 && year != w.year {
			return w.part(t, depth, "format.date.year", append(args, raw("year", strconv.Itoa(year)))...)
		}
		return w.part(t, depth, "format.date", args...)
	case message.ArgClock:
		return clock(a.N)
	case message.ArgMM:
		return w.part(t, depth, "format.mm", raw("n", fixed(a.N, 1000, t.forms.decimal)))
	case message.ArgPercent:
		return w.part(t, depth, "format.percent", raw("n", fixed(a.N, 10, t.forms.decimal)))
	case message.ArgTenths:
		return fixed(a.N, 10, t.forms.decimal)
	case message.ArgMinutes:
		return w.minutes(t, a.N, depth)
	case message.ArgList:
		return w.list(t, strings.Split(a.S, "|"), depth)
	case argRaw:
		return a.S
	}
	return ""
}

// argRaw is a value already in words, for the parts of a format.
const argRaw message.ArgKind = 255

func raw(name, s string) message.Arg { return message.Arg{Name: name, Kind: argRaw, S: s} }

// part puts a key within a line into words.
func (w *Words) part(t *tongue, depth int, key string, args ...message.Arg) string {
	if s, ok := w.localize(t, message.Line{Key: key, Args: args}, depth+1); ok {
		return s
	}
	return w.line(w.fallback, message.Line{Key: key, Args: args}, depth+1)
}

// minutes writes a length of time: "7 h 30 min".
func (w *Words) minutes(t *tongue, n int64, depth int) string {
	h, m := strconv.FormatInt(n/60, 10), strconv.FormatInt(n%60, 10)
	switch {
	case n < 60:
		return w.part(t, depth, "format.minutes", raw("m", m))
	case n%60 == 0:
		return w.part(t, depth, "format.hours", raw("h", h))
	}
	return w.part(t, depth, "format.hoursminutes", raw("h", h), raw("m", m))
}

// list writes keys as a list: "a, b and c".
func (w *Words) list(t *tongue, keys []string, depth int) string {
	items := make([]string, 0, len(keys))
	for _, k := range keys {
		if k != "" {
			items = append(items, w.part(t, depth, k))
		}
	}
	if len(items) == 0 {
		return ""
	}
	last := items[len(items)-1]
	if len(items) == 1 {
		return last
	}
	key := "format.list.last"
	if t.keys["format.list.soft"] && beginsWithI(last) {
		key = "format.list.soft" // Spanish "e" for "y" before the sound i
	}
	return w.part(t, depth, key, raw("a", strings.Join(items[:len(items)-1], t.forms.comma)), raw("b", last))
}

// beginsWithI reports whether a word begins with the sound i, "i" or "hi" but
// not the glide of "hie".
func beginsWithI(s string) bool {
	s = strings.TrimPrefix(strings.ToLower(s), "h")
	return (strings.HasPrefix(s, "i") || strings.HasPrefix(s, "í")) && !strings.HasPrefix(s, "ie")
}

// fixed writes n/unit exactly, unit a power of ten, without idle zeros.
func fixed(n, unit int64, mark string) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	whole, rest := n/unit, n%unit
	s := sign + strconv.FormatInt(whole, 10)
	if rest == 0 {
		return s
	}
	frac := strconv.FormatInt(unit+rest, 10)[1:] // the leading 1 keeps the zeros
	return s + mark + strings.TrimRight(frac, "0")
}

// clock writes minutes after midnight: "21:30".
func clock(n int64) string {
	n = ((n % 1440) + 1440) % 1440
	b := []byte{'0' + byte(n/600), '0' + byte(n/60%10), ':', '0' + byte(n%60/10), '0' + byte(n%10)}
	return string(b)
}

// pluralCount gives the value that chooses the plural form; a broken number
// goes to the rules as its digits, for floats lose the final zeros they need.
func pluralCount(a message.Arg) any {
	if a.Kind == message.ArgTenths || a.Kind == message.ArgPercent {
		return fixed(a.N, 10, ".")
	}
	if a.N < 0 {
		return -a.N
	}
	return a.N
}

// First strong isolate and pop directional isolate (Unicode 6.3).
const (
	isolateOpen  = "\u2068"
	isolateClose = "\u2069"
)

// personal prepares the text of a person for a message: no control and no
// direction marks (they can make a text read other than it was written), and
// set apart where it or the language runs from right to left.
func (t *tongue) personal(s string) string {
	s = Plain(s)
	if t.isolates || runsRight(s) {
		return isolateOpen + s + isolateClose
	}
	return s
}

// Plain takes control characters and direction marks out of a text; line
// breaks and tabs become spaces, bytes that are no text become U+FFFD.
func Plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, s)
}

// runsRight reports whether a text holds letters written from right to left.
func runsRight(s string) bool {
	for _, r := range s {
		if r < 0x0590 {
			continue
		}
		p, _ := bidi.LookupRune(r)
		if c := p.Class(); c == bidi.R || c == bidi.AL {
			return true
		}
	}
	return false
}
