package locales

import (
	"slices"
	"time"

	"duskdawn/flows/reading"
)

// merge takes the words out that say nothing and joins numbers with their
// units: "7 h 30" is a length of time, "3 or 4" a range, "3 nov" a day.
func merge(items []item) []item {
	out := items[:0]
	for i := 0; i < len(items); i++ {
		if s := tail(items[i:]); len(s) > 2 && s[0].of && s[1].of && s.number(2) && s[2].num.n == 10 && (i == 0 || items[i-1].kind != itemNumber) {
			i += 2 // "too out of ten": the scale, and no score
			continue
		}
		if items[i].kind != itemFiller {
			out = append(out, items[i])
		}
		i += outOfTen(items[i:])
	}
	marOfTwo(out)
	items, out = out, out[:0]
	for i := 0; i < len(items); {
		it, n := joined(items[i:])
		it.from, it.to = items[i].from, items[i+n-1].to
		out = append(out, it)
		i += n
	}
	return out
}

// marOfTwo makes a Tuesday of "mar" beside other days, and where no day of a month stands with it: "lun 5 horas, mar 6".
func marOfTwo(items []item) {
	days := slices.ContainsFunc(items, func(it item) bool { return it.kind == itemWeekday })
	for i := range items {
		it := &items[i]
		if it.kind != itemMonth || it.n != 3 || it.to-it.from > 3 {
			continue
		}
		before, s := tail(items[max(i-1, 0):]), tail(items[i:])
		if days || !(i > 0 && before.number(0)) && (!s.number(1) || s.has(2, cHour) || s.has(2, cMinute)) {
			it.kind, it.n = itemWeekday, int8(time.Tuesday)
		}
	}
}

// outOfTen gives how many items stand behind a score to say that it is out of ten: "4 out of 10".
func outOfTen(s tail) int {
	at := 1
	for at < len(s) && at <= 2 && s[at].of {
		at++
	}
	if at > 1 && s.number(0) && s[0].num.n <= 10 && s.number(at) && s[at].num.n == 10 {
		return at
	}
	return 0
}

// joined gives the item at the head of a list, joined with those that belong
// to it, and how many they are. It looks only forward, so it may work in place.
func joined(s tail) (item, int) {
	switch {
	case s.has(0, cMinus) && s.number(1) && s[1].num.milli == 0:
		it := s[1]
		it.num.neg = true
		return it, 2
	case s.has(0, cBetween) && s.number(1) && s.has(2, cAnd) && s.number(3):
		return refused(reading.IsRange, 4)
	case s.has(0, cHour) && s.number(1) && s[1].num.n <= 16 && s.has(2, cAnd) && s.has(3, cHalf): // "hours six and a half"
		return timeSpan(s[1].num.n*60+30, true, 4)
	case s.has(0, cHour) && s.number(1) && s[1].num.n <= 16 && !s.has(2, cHour) && !s.has(2, cMinute): // "hours 7"
		return timeSpan(s[1].num.n*60+(int32(s[1].num.milli)*60+500)/1000, true, 2)
	case s.has(0, cHalf) && s.has(1, cHour):
		return timeSpan(30, false, 2)
	case s.has(0, cQuarterHour):
		return timeSpan(15, false, 1)
	case s.month(0) && s.number(1) && !s.has(2, cHour):
		return monthDay(s[0], s[1], 2)
	case s.number(0):
		return s.fromNumber()
	}
	return s[0], 1
}

// fromNumber joins a number with what follows: a second number, that makes a
// range or nonsense of it, a unit, a month.
func (s tail) fromNumber() (item, int) {
	switch {
	case s.number(1) && s[1].num.neg:
		return refused(reading.IsRange, 2) // "3 -4"
	case s.number(1) && s[1].num.long && !s.has(2, cMinute):
		return refused(reading.IsOdd, 2) // "1 000"
	case (s.has(1, cOr) || s.has(1, cTo) || s.dash(1)) && s.number(2):
		return refused(reading.IsRange, 3)
	case s.has(1, cPoint) && s.number(2):
		return s.andHalf(3) // "two point five"
	case s.tens(0) && s.ones(1):
		return s.compound(2) // "forty five"
	case s.tens(0) && s.has(1, cAnd) && s.ones(2):
		return s.compound(3) // "cuarenta y cinco"
	case s[0].num.said && s.number(1) && s[1].num.said && s[1].num.n == s[0].num.n+1:
		return refused(reading.IsRange, 2) // "five six"
	case s.has(1, cQuarterHour) && s[0].num.n == 3:
		return timeSpan(45, false, 2) // "three quarters of an hour"
	case s.has(1, cHalf) && s.has(2, cHour):
		return timeSpan(s[0].num.n*60+30, true, 3)
	case s.has(1, cAnd) && s.has(2, cHalf) && s.has(3, cHour):
		return timeSpan(s[0].num.n*60+30, true, 4)
	case s.has(1, cAnd) && s.has(2, cHalf):
		return s.andHalf(3) // "a las dos y media"
	case s.has(1, cHalf):
		return s.andHalf(2)
	case s.month(1):
		return monthDay(s[1], s[0], 2)
	case len(s) > 1 && s[1].kind == itemConcept:
		return s.withUnit()
	}
	return s[0], 1
}

// andHalf is a number and a half of what is not told, of n items.
func (s tail) andHalf(n int) (item, int) {
	it, n := refused(reading.IsHalf, n)
	it.num.n = s[0].num.n
	return it, n
}

// tens and ones report whether the item i places on is a number in words, twenty and on, or below ten.
func (s tail) tens(i int) bool {
	return s.number(i) && s[i].num.said && s[i].num.n >= 20 && s[i].num.n%10 == 0
}

func (s tail) ones(i int) bool {
	return s.number(i) && s[i].num.said && s[i].num.n >= 1 && s[i].num.n <= 9
}

// compound joins a number of two words with what follows it; n items hold the two.
func (s tail) compound(n int) (item, int) {
	s[n-1].num.n += s[0].num.n
	it, more := tail(s[n-1:]).fromNumber()
	return it, n - 1 + more
}

// tail is what is left of the items of a text; its head is looked at first.
type tail []item

// has reports whether the item i places on is this concept.
func (s tail) has(i int, c concept) bool {
	return i >= 0 && i < len(s) && s[i].kind == itemConcept && s[i].c == c
}

// number reports whether the item i places on is a plain number.
func (s tail) number(i int) bool {
	return i < len(s) && s[i].kind == itemNumber && s[i].num.kind == isNumber
}

func (s tail) month(i int) bool { return i < len(s) && s[i].kind == itemMonth }

func (s tail) dash(i int) bool { return i < len(s) && s[i].kind == itemMark && s[i].mark == '-' }

// refused is a number that cannot be taken, made of n items.
func refused(d reading.Doubt, n int) (item, int) {
	return item{kind: itemNumber, num: numeral{kind: isBad, doubt: d}}, n
}

// timeSpan is a length of time in minutes, made of n items. Whether it was said
// in hours is kept: a bite guide and a changed bite are told in minutes.
func timeSpan(minutes int32, hours bool, n int) (item, int) {
	return item{kind: itemNumber, num: numeral{kind: isSpan, n: minutes, hours: hours}}, n
}

// withUnit joins a number with the unit or the word behind it.
func (s tail) withUnit() (item, int) {
	switch s[1].c {
	case cHour:
		return s.hours()
	case cMinute:
		return s.minutes()
	case cAM, cPM:
		return s.clock()
	case cDays:
		return item{kind: itemFiller}, 2
	case cWeek:
		if s[0].num.n >= 2 {
			return item{kind: itemConcept, c: cWeeks}, 2
		}
		return item{kind: itemFiller}, 2
	case cTurn, cMM:
		return item{kind: itemNumber, num: numeral{kind: isJunk}}, 2
	}
	return s[0], 1
}

// hours reads "7 h", "7.5 h", "7 h 30", "7 h and a half", "7 h and 20 min".
func (s tail) hours() (item, int) {
	first := s[0].num
	switch {
	case first.neg:
		return refused(reading.IsOdd, 2)
	case first.n > 48:
		return refused(reading.OutOfZone, 2)
	}
	minutes := first.n*60 + (int32(first.milli)*60+500)/1000
	switch {
	case (s.has(2, cOr) || s.has(2, cTo) || s.dash(2)) && s.number(3): // "4 hours, maybe 5"
		return refused(reading.IsRange, 4)
	case s.has(2, cSome): // "6 hours and a bit"
		return refused(reading.IsRange, 3)
	case s.has(2, cMinus) && s.has(3, cQuarter): // "ocho horas menos cuarto"
		return timeSpan(minutes-15, true, 4)
	case s.has(2, cAnd) && s.has(3, cQuarter):
		return timeSpan(minutes+15, true, 4)
	case s.has(2, cQuarter):
		return timeSpan(minutes+15, true, 3)
	case s.has(2, cAnd) && s.number(3) && s[3].num.n%5 == 0 && s[3].num.n > 10 && s[3].num.n < 60 && !s.has(4, cMinute): // "6 horas y 30"
		return timeSpan(minutes+s[3].num.n, true, 4)
	case s.has(2, cAnd) && s.has(3, cHalf):
		return timeSpan(minutes+30, true, 4)
	case s.has(2, cHalf):
		return timeSpan(minutes+30, true, 3)
	case first.milli != 0: // "7.5 h": what follows is another number
	case s.tens(2) && s.ones(3) && s.ends(4): // "six hours forty five"
		return timeSpan(minutes+s[2].num.n+s[3].num.n, true, 4)
	case s.minutesFollow():
		n := 3
		if s.has(3, cMinute) {
			n = 4
		}
		return timeSpan(minutes+s[2].num.n, true, n)
	case s.has(2, cAnd) && s.number(3) && s.has(4, cMinute) && s[3].num.n < 60:
		return timeSpan(minutes+s[3].num.n, true, 5)
	}
	return timeSpan(minutes, true, 2)
}

// minutesFollow reports whether the number behind an hour is its minutes: they
// are named so, written without a space, or two digits with nothing after them.
func (s tail) minutesFollow() bool {
	if !s.number(2) || s[2].num.n >= 60 || s[2].num.milli != 0 || s[2].num.neg {
		return false
	}
	return s.has(3, cMinute) || s[2].glued || s[2].num.n >= 10 && s.ends(3)
}

// minutes reads "90 min", up to two days.
func (s tail) minutes() (item, int) {
	switch first := s[0].num; {
	case first.neg || first.milli != 0:
		return refused(reading.IsOdd, 2)
	case first.n > 2880:
		return refused(reading.OutOfZone, 2)
	default:
		return timeSpan(first.n, false, 2)
	}
}

// clock reads "10 pm" and "10.45 pm", whose point stands for a colon.
func (s tail) clock() (item, int) {
	first := s[0].num
	if first.n > 12 || first.neg || first.milli%10 != 0 || first.milli >= 600 {
		return s[0], 1
	}
	h := first.n % 12
	if s[1].c == cPM {
		h += 12
	}
	return item{kind: itemNumber, num: numeral{kind: isClock, n: h*60 + int32(first.milli/10)}}, 2
}

// ends reports whether a clause ends at s[i], or the next question begins there.
func (s tail) ends(i int) bool {
	if i >= len(s) || s[i].kind == itemMark {
		return true
	}
	return s[i].kind == itemConcept && opens[s[i].c] != tNone && i+1 < len(s) && s[i+1].kind == itemNumber
}

// monthDay is a day of a month, made of n items.
func monthDay(month, day item, n int) (item, int) {
	d := day.num.n
	if day.num.neg || day.num.milli != 0 || d < 1 || d > 31 {
		return refused(reading.IsOdd, n)
	}
	return item{kind: itemDay, day: reading.Day{Kind: reading.DayMonth, N: int8(d), Month: month.n}}, n
}
