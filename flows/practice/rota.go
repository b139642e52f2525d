package practice

import (
	"math/bits"
	"strconv"
	"strings"

	"duskdawn/flows/civil"
)

// Who has the duty on days to come. The rota's lines are in the five fields of cron, which
// the scheduler reads to set timers; here they are read once more, as values, so that
// the desk can tell a gap before it is there.

// line is one line of cron: a bit for each minute, hour, day of the month, month and
// day of the week that it names.
type line struct {
	minute, hour, dom, month, dow uint64
	any                           bool // one of the two day fields is free, so both must fit; else either will do
}

var (
	months   = []string{"", "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}
	weekdays = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}
)

// readLine reads a line; false where it is none.
func readLine(text string) (l line, ok bool) {
	f := strings.Fields(text)
	if len(f) != 5 {
		return l, false
	}
	ok, free := true, false
	bitsOf := func(field string, least, most int, names []string) (set uint64) {
		for part := range strings.SplitSeq(field, ",") {
			n, star, good := readPart(part, least, most, names)
			set, free, ok = set|n, free || star, ok && good
		}
		return set
	}
	l.minute, l.hour, l.month = bitsOf(f[0], 0, 59, nil), bitsOf(f[1], 0, 23, nil), bitsOf(f[3], 1, 12, months)
	free = false
	l.dom, l.dow = bitsOf(f[2], 1, 31, nil), bitsOf(f[4], 0, 6, weekdays)
	l.any = free
	return l, ok
}

// readPart reads "*", "3", "MON-FRI", "*/15" or "10-50/20".
func readPart(part string, least, most int, names []string) (set uint64, star, ok bool) {
	span, every, stepped := strings.Cut(part, "/")
	first, last, ranged := strings.Cut(span, "-")
	from, to, step := least, most, 1
	if star = span == "*" || span == "?"; !star {
		if from, ok = numberOf(first, names); !ok {
			return 0, false, false
		}
		switch {
		case ranged:
			if to, ok = numberOf(last, names); !ok {
				return 0, false, false
			}
		case !stepped:
			to = from
		}
	}
	if stepped {
		n, err := strconv.Atoi(every)
		if err != nil || n < 1 {
			return 0, false, false
		}
		step, star = n, star && n == 1
	}
	if from < least || to > most || from > to {
		return 0, false, false
	}
	for n := from; n <= to; n += step {
		set |= 1 << n
	}
	return set, star, true
}

func numberOf(text string, names []string) (int, bool) {
	for i, name := range names {
		if name != "" && strings.EqualFold(name, text) {
			return i, true
		}
	}
	n, err := strconv.Atoi(text)
	return n, err == nil && n >= 0
}

// on reports whether a line names a day.
func (l *line) on(d civil.Date) bool {
	t := d.Time()
	dom, dow := l.dom>>t.Day()&1 == 1, l.dow>>d.Weekday()&1 == 1
	if l.month>>int(t.Month())&1 == 0 {
		return false
	}
	if l.any {
		return dom && dow
	}
	return dom || dow
}

// lookAhead is for how many days the next time of a line is looked for: a leap year and more.
const lookAhead = 400

// next is the first time behind a wall time that a line names.
func (l *line) next(w civil.Wall) (civil.Wall, bool) {
	for d := w.Date; d <= w.Date+lookAhead; d++ {
		if !l.on(d) {
			continue
		}
		for hours := l.hour; hours != 0; hours &= hours - 1 {
			for minutes := l.minute; minutes != 0; minutes &= minutes - 1 {
				at := civil.Wall{Date: d, Clock: civil.Clock(60*bits.TrailingZeros64(hours) + bits.TrailingZeros64(minutes))}
				if w.Before(at) {
					return at, true
				}
			}
		}
	}
	return civil.Wall{}, false
}

// shift is a line of the rota, read.
type shift struct {
	label    string
	from, to line
	bad      bool
}

func (pr *Practice) shifts() []shift {
	out := make([]shift, len(pr.Rota))
	for i, r := range pr.Rota {
		from, ok1 := readLine(r.From)
		to, ok2 := readLine(r.To)
		out[i] = shift{r.Staff, from, to, !ok1 || !ok2}
	}
	return out
}

// running reports whether a shift runs at a wall time, its first minute included and its
// last not. One that cannot be read takes nobody off.
func (s *shift) running(w civil.Wall) bool {
	if s.bad {
		return true
	}
	begins, ok1 := s.from.next(w)
	ends, ok2 := s.to.next(w)
	return ok1 && ok2 && !begins.Before(ends)
}

// onRota reports whether the rota has a person on duty at a wall time; who is not named
// in it always is.
func onRota(shifts []shift, label string, w civil.Wall) bool {
	named := false
	for i := range shifts {
		if s := &shifts[i]; s.label == label {
			if s.running(w) {
				return true
			}
			named = true
		}
	}
	return !named
}
