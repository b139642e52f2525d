package enrol

import (
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// ParseClock reads H:MM or HH:MM, 0:00 to 23:59.
func ParseClock(s string) (civil.Clock, bool) {
	h, m, ok := strings.Cut(s, ":")
	if !ok || len(h) < 1 || len(h) > 2 || len(m) != 2 || !only(h+m, "0123456789") {
		return 0, false
	}
	hh, _ := strconv.Atoi(h)
	mm, _ := strconv.Atoi(m)
	return civil.Clock(hh*60 + mm), hh < 24 && mm < 60
}

// ParseMM reads millimetres with a decimal point or comma and at most three
// decimals, with or without the unit: "0.25", "0,25 mm".
func ParseMM(s string) (chart.Micrometres, bool) {
	n, ok := parseDecimal(unit(clean(s), "mm"), 3)
	return chart.Micrometres(n), ok
}

// parseDecimal reads a plain decimal number with at most places decimals and
// counts it in the last of them. No exponent, no thousands mark, no range; a
// minus sign in front is allowed, the bounds say where it makes sense.
func parseDecimal(s string, places int) (int64, bool) {
	neg := strings.HasPrefix(s, "-")
	if neg {
		s = s[1:]
	}
	whole, part, dot := strings.Cut(strings.Replace(s, ",", ".", 1), ".")
	if whole == "" || len(whole) > 5 || dot && part == "" || len(part) > places || !only(whole+part, "0123456789") {
		return 0, false
	}
	n, err := strconv.ParseInt(whole+part+strings.Repeat("0", places-len(part)), 10, 64)
	if neg {
		n = -n
	}
	return n, err == nil
}

// parseScores reads "NAME 12, NAME 3/24": an instrument's name, its total and,
// where it is given, the most it can be.
func parseScores(s string) ([]chart.Score, bool) {
	var out []chart.Score
	for _, one := range splitTrim(s, ",") {
		i := strings.LastIndexByte(one, ' ')
		if i < 1 || reading.Runes(one[:i]) > 24 {
			return nil, false
		}
		total, most, limited := strings.Cut(one[i+1:], "/")
		n, ok := parseDecimal(total, 0)
		top := int64(999)
		if limited {
			var ok2 bool
			top, ok2 = parseDecimal(most, 0)
			ok = ok && ok2
		}
		if !ok || n < 0 || n > top || n > 999 {
			return nil, false
		}
		out = append(out, chart.Score{Name: strings.TrimSpace(one[:i]), Total: int16(n)})
	}
	return out, len(out) <= 6
}

// ReadPairs takes pasted text apart into `key: value` lines (`key = value` is
// as good). Lines that are empty or begin with # are left out; a line without
// a key comes back with the whole line as key, to be refused by name.
func ReadPairs(text string) []Pair {
	var out []Pair
	for i, line := range strings.Split(text, "\n") {
		line = clean(line)
		if line == "" || line[0] == '#' || i >= 200 {
			continue
		}
		at := strings.IndexAny(line, ":=")
		if at < 0 {
			out = append(out, Pair{Line: int16(i + 1), Key: line})
			continue
		}
		key := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(line[:at]), "_", "-"))
		out = append(out, Pair{Line: int16(i + 1), Key: key, Value: strings.Trim(strings.TrimSpace(line[at+1:]), `"`)})
	}
	return out
}

// clean takes control characters and direction marks out, and space around.
func clean(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0' || r == '\u202f' || r == '\t':
			return ' '
		case r < ' ' || r == 0x7f || r >= '\u200b' && r <= '\u200f' || r >= '\u202a' && r <= '\u202e' || r >= '\u2066' &&
			r <= '\u2069':
			return -1
		}
		return r
	}, s))
}

// unit takes a unit off the end, in either case.
func unit(s, u string) string {
	if len(s) >= len(u) && strings.EqualFold(s[len(s)-len(u):], u) {
		s = s[:len(s)-len(u)]
	}
	return strings.TrimSpace(s)
}

func only(s, set string) bool {
	for i := range len(s) {
		if strings.IndexByte(set, s[i]) < 0 {
			return false
		}
	}
	return true
}

func index(list []string, s string) int {
	for i, x := range list {
		if x == s {
			return i
		}
	}
	return -1
}

func splitTrim(s, sep string) []string {
	parts := strings.Split(s, sep)
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts
}
