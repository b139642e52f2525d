package locales

import (
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// numeral is a number, a clock time or a full date as written, or the reason
// it is none.
type numeral struct {
	kind  numeralKind
	n     int32 // whole part; minutes after midnight of a clock; a flows.Date
	milli int16 // thousandths behind the decimal mark
	neg   bool
	long  bool // three digits and more: part of a number with a space in it
	hours bool // of a span: said in hours
	said  bool // in words: "four"
	doubt reading.Doubt
}

type numeralKind uint8

const (
	isNumber numeralKind = iota
	isClock
	isDate
	isBad  // doubt says why
	isJunk // no answer: a telephone number, a code, "2 turns"
	isSpan // n is minutes
)

// whole gives the number where it is a whole one, "3" or "3.0".
func (n numeral) whole() (int, reading.Doubt) {
	switch {
	case n.kind == isBad:
		return 0, n.doubt
	case n.kind != isNumber:
		return 0, reading.IsOdd
	case n.milli != 0:
		return 0, reading.IsHalf
	case n.neg:
		return -int(n.n), reading.NoDoubt
	}
	return int(n.n), reading.NoDoubt
}

// scanNumber reads the numeral that begins at the digit b[i] of a folded text
// and gives the place behind it. It is strict: what is not plainly one number
// is a doubt, to be asked again. (The standard parsers take "1e3", "Inf" and
// "1_000" and refuse "3,5".)
func scanNumber(b []byte, i int) (numeral, int) {
	var part [4]int32
	var size [4]int
	var seps [3]byte
	n := 0
	for {
		start := i
		for i < len(b) && fold.IsDigit(b[i]) {
			if i-start < 9 {
				part[n] = part[n]*10 + int32(b[i]-'0')
			}
			i++
		}
		size[n] = i - start
		n++
		if n == len(part) || i+1 >= len(b) || !joins(b[i]) || !fold.IsDigit(b[i+1]) {
			break
		}
		seps[n-1] = b[i]
		i++
	}
	if end, more := runsOn(b, i); more {
		return numeral{kind: isBad, doubt: reading.IsOdd}, end
	}
	switch n {
	case 1:
		if size[0] > 5 {
			return numeral{kind: isJunk}, i
		}
		return numeral{n: part[0], long: size[0] >= 3}, i
	case 2:
		return pair(part, size, seps[0]), i
	case 3:
		if d, ok := fullDate(part, size, seps); ok {
			return d, i
		}
	}
	if size[0]+size[1]+size[2]+size[3] > 6 {
		return numeral{kind: isJunk}, i
	}
	return numeral{kind: isBad, doubt: reading.IsOdd}, i
}

// joins reports whether a character between two digits makes them one numeral.
func joins(c byte) bool {
	switch c {
	case '.', ',', ':', '/', '-', '\'', '_', fold.OddMark:
		return true
	}
	return false
}

// runsOn reports whether a numeral is followed, without a space, by something
// that makes it another one: "3..5", "3%", "3+", "½", and where that ends.
func runsOn(b []byte, i int) (end int, more bool) {
	if i < len(b) && (b[i] == '%' || b[i] == '+' || b[i] == fold.OddMark || b[i] == '^' || b[i] == '=') {
		for i < len(b) && b[i] > ' ' || i < len(b) && b[i] == fold.OddMark {
			i++
		}
		return i, true
	}
	j := i
	for j < len(b) && (joins(b[j]) || b[j] == '~') {
		j++
	}
	if j > i+1 && j < len(b) && fold.IsDigit(b[j]) {
		for j < len(b) && (fold.IsDigit(b[j]) || joins(b[j]) && j+1 < len(b) && fold.IsDigit(b[j+1])) {
			j++
		}
		return j, true
	}
	return i, false
}

// pair judges two groups of digits with one mark between them.
func pair(part [4]int32, size [4]int, sep byte) numeral {
	switch sep {
	case '.', ',':
		if size[0] > 5 || size[1] > 3 || size[1] == 3 && size[0] <= 3 {
			return numeral{kind: isBad, doubt: reading.IsOdd} // may be a thousands mark
		}
		return numeral{n: part[0], milli: int16(part[1] * []int32{0, 100, 10, 1}[size[1]])}
	case ':':
		if size[0] <= 2 && size[1] == 2 && part[0] < 24 && part[1] < 60 {
			return numeral{kind: isClock, n: part[0]*60 + part[1]}
		}
	case '/':
		if part[1] == 10 && part[0] <= 10 && size[0] <= 2 && size[1] == 2 { // "3/010" is something else
			return numeral{n: part[0]} // "4/10"
		}
		return numeral{kind: isBad, doubt: reading.IsRatio}
	case '-':
		if size[0] > 2 || size[1] > 2 {
			return numeral{kind: isJunk}
		}
		return numeral{kind: isBad, doubt: reading.IsRange}
	}
	return numeral{kind: isBad, doubt: reading.IsOdd}
}

// fullDate reads 2026-11-03; day and month in another order are a guess.
func fullDate(part [4]int32, size [4]int, seps [3]byte) (numeral, bool) {
	if size[0] != 4 || size[1] > 2 || size[2] > 2 || seps[0] != seps[1] || seps[0] == ',' || seps[0] == fold.OddMark {
		return numeral{}, false
	}
	y, m, d := int(part[0]), int(part[1]), int(part[2])
	if y < 2000 || y > 2199 || m < 1 || m > 12 || d < 1 {
		return numeral{}, false
	}
	date := civil.DateOf(y, 1, 1).AddMonths(m-1) + civil.Date(d-1)
	if date.Time().Day() != d {
		return numeral{}, false
	}
	return numeral{kind: isDate, n: int32(date)}, true
}
