package locales

import "duskdawn/flows/reading"

// merge takes the words out that say nothing and joins numbers with their
// units: "7 h 30" is a length of time, "3 or 4" a range, "3 nov" a day.
func merge(items []item) []item {
	out := items[:0]
	for _, it := range items {
		if it.kind != itemFiller {
			out = append(out, it)
		}
	}
	items, out = out, out[:0]
	for i := 0; i < len(items); {
		it, n := joined(items[i:])
		out = append(out, it)
		i += n
	}
	return out
}

// joined gives the item at the head of a list, joined with those that belong
// to it, and how many they are. It looks only forward, so it may work in place.
func joined(s []item) (item, int) {
	at := func(i int, c concept) bool { return i < len(s) && s[i].kind == itemConcept && s[i].c == c }
	num := func(i int) bool { return i < len(s) && s[i].kind == itemNumber && s[i].num.kind == isNumber }
	bad := func(d reading.Doubt, n int) (item, int) {
		return item{kind: itemNumber, num: numeral{kind: isBad, doubt: d}}, n
	}
	span := func(minutes int32, hours bool, n int) (item, int) {
		return item{kind: itemNumber, num: numeral{kind: isSpan, n: minutes, hours: hours}}, n
	}
	switch {
	case at(0, cMinus) && num(1) && s[1].num.milli == 0:
		it := s[1]
		it.num.neg = true
		return it, 2
	case at(0, cBetween) && num(1) && at(2, cAnd) && num(3):
		return bad(reading.IsRange, 4)
	case at(0, cHalf) && at(1, cHour):
		return span(30, true, 2)
	case s[0].kind == itemMonth && num(1) && !at(2, cHour):
		return monthDay(s[0], s[1], 2)
	case !num(0):
		return s[0], 1
	}
	first := s[0].num
	switch {
	case num(1) && s[1].num.neg:
		return bad(reading.IsRange, 2) // "3 -4"
	case num(1) && s[1].num.long && !at(2, cMinute):
		return bad(reading.IsOdd, 2) // "1 000"
	case (at(1, cOr) || at(1, cTo) || dash(s, 1)) && num(2):
		return bad(reading.IsRange, 3)
	case at(1, cAnd) && at(2, cHalf) && at(3, cHour):
		return span(first.n*60+30, true, 4)
	case at(1, cHour) && first.neg, at(1, cMinute) && (first.neg || first.milli != 0):
		return bad(reading.IsOdd, 2)
	case at(1, cHour) && first.n > 48:
		return bad(reading.OutOfZone, 2)
	case at(1, cHour):
		minutes := first.n*60 + (int32(first.milli)*60+500)/1000
		switch {
		case at(2, cAnd) && at(3, cHalf):
			return span(minutes+30, true, 4)
		case at(2, cHalf):
			return span(minutes+30, true, 3)
		case first.milli != 0:
		case num(2) && s[2].num.n < 60 && s[2].num.milli == 0 && !s[2].num.neg &&
			(at(3, cMinute) || s[2].glued || s[2].num.n >= 10 && ends(s, 3)):
			n := 3
			if at(3, cMinute) {
				n = 4
			}
			return span(minutes+s[2].num.n, true, n)
		case at(2, cAnd) && num(3) && at(4, cMinute) && s[3].num.n < 60:
			return span(minutes+s[3].num.n, true, 5)
		}
		return span(minutes, true, 2)
	case at(1, cMinute) && first.n > 2880:
		return bad(reading.OutOfZone, 2)
	case at(1, cMinute):
		return span(first.n, false, 2)
	case (at(1, cAM) || at(1, cPM)) && first.n <= 12 && !first.neg && first.milli%10 == 0 && first.milli < 600:
		h := first.n % 12
		if at(1, cPM) {
			h += 12
		}
		return item{kind: itemNumber, num: numeral{kind: isClock, n: h*60 + int32(first.milli/10)}}, 2
	case at(1, cDays):
		return item{kind: itemFiller}, 2
	case at(1, cTurn), at(1, cMM):
		return item{kind: itemNumber, num: numeral{kind: isJunk}}, 2
	case len(s) > 1 && s[1].kind == itemMonth:
		return monthDay(s[1], s[0], 2)
	}
	return s[0], 1
}

func dash(s []item, i int) bool {
	return i < len(s) && s[i].kind == itemMark && s[i].mark == '-'
}

// ends reports whether a clause ends at s[i], or the next question begins there.
func ends(s []item, i int) bool {
	if i >= len(s) || s[i].kind == itemMark {
		return true
	}
	return s[i].kind == itemConcept && opens[s[i].c] != tNone && i+1 < len(s) && s[i+1].kind == itemNumber
}

func monthDay(month, day item, n int) (item, int) {
	d := day.num.n
	if day.num.neg || day.num.milli != 0 || d < 1 || d > 31 {
		return item{kind: itemNumber, num: numeral{kind: isBad, doubt: reading.IsOdd}}, n
	}
	return item{kind: itemDay, day: reading.Day{Kind: reading.DayMonth, N: int8(d), Month: month.n}}, n
}
