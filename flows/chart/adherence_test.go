package chart

import "testing"

// 21 of 30 nights of 4 hours are 70.0 % and regular, 20 are 66.7 % and are not;
// 63 of 90 are, 62 are not (the 4 hours on 70 % of nights: doi 10.15331/jdsm.7204).
func TestPayerRule(t *testing.T) {
	for _, x := range []struct {
		counted, of, tenths int
		regular             bool
	}{{21, 30, 700, true}, {20, 30, 667, false}, {63, 90, 700, true}, {62, 90, 689, false}, {0, 30, 0, false}} {
		n := Nights{x.counted, x.of, x.of}
		if s, ok := n.Share(); s != x.tenths || !ok || n.PayerRegular() != x.regular {
			t.Errorf("%+v: %d, %v", x, s, n.PayerRegular())
		}
	}
	if !PayerNight(240) || PayerNight(239) {
		t.Error("a night of exactly 4.0 h counts")
	}
	if _, ok := (Nights{}).Share(); ok || (Nights{}).PayerRegular() {
		t.Error("a share of nothing")
	}
}

// Sleep 7.5 h: worn 6.0 is 80.0 % and counts, 5.9 is 78.7 % and does not; five
// counting nights make a week, four do not (doi 10.15331/jdsm.7204).
func TestDentalRule(t *testing.T) {
	for worn, want := range map[int]bool{360: true, 354: false, 359: false, 450: true} {
		if got, ok := DentalNight(worn, 450); got != want || !ok {
			t.Errorf("%d of 450 minutes: %v", worn, got)
		}
	}
	if _, ok := DentalNight(360, 0); ok {
		t.Error("80 % of no sleep")
	}
	if !DentalWeek(5) || DentalWeek(4) {
		t.Error("five nights a week")
	}
	// 10 of 14 nights, split 6 and 4: the second week fails.
	var nights []Entry
	for n := range 14 {
		var e Entry
		e.V[Worn] = Num(WornNo)
		if n < 6 || n >= 7 && n < 11 {
			e.V[Worn], e.V[WornMinutes] = Num(WornPart), Num(360)
		}
		nights = append(nights, e)
	}
	if w := CountDental(nights, 450); w != (Weeks{Met: 1, Missed: 1}) {
		t.Errorf("%+v", w)
	}
}

// The same week, two verdicts: 7 nights of 4.5 h of 7.5 h sleep are 100 % by
// the payer rule and no night by the dental one: the rule is named.
func TestRulesDisagree(t *testing.T) {
	nights := make([]Entry, 7)
	for i := range nights {
		nights[i].V[Worn], nights[i].V[WornMinutes] = Num(WornPart), Num(270)
	}
	n := CountPayer(nights)
	if s, _ := n.Share(); s != 1000 || !n.PayerRegular() {
		t.Errorf("payer rule %d", s)
	}
	if w := CountDental(nights, 450); w != (Weeks{Missed: 1}) {
		t.Errorf("dental rule %+v", w)
	}
}

// A silent night is unknown, not zero: both shares are given.
func TestSilentNights(t *testing.T) {
	nights := make([]Entry, 10)
	for i := range 5 {
		nights[i].V[Worn] = Num(WornAll)
	}
	n := CountPayer(nights)
	a, _ := n.Share()
	c, _ := n.CalendarShare()
	if a != 1000 || c != 500 {
		t.Errorf("%d of answered, %d of calendar nights", a, c)
	}
	nights[9].V[Worn] = Num(WornAll)
	if w := CountDental(nights, 450); w != (Weeks{Met: 1}) {
		t.Errorf("%+v", w)
	}
	// so many worn, one not, the rest silent or not worn
	for i, want := range map[int]Weeks{4: {Met: 0, Unknown: 1}, 2: {Unknown: 1}, 1: {Missed: 1}} {
		week := make([]Entry, 7)
		for n := range i {
			week[n].V[Worn] = Num(WornAll)
		}
		if i == 1 {
			for n := 1; n < 4; n++ {
				week[n].V[Worn] = Num(WornNo)
			}
		}
		if w := CountDental(week, 450); w != want {
			t.Errorf("%d worn: %+v", i, w)
		}
	}
	part := make([]Entry, 7)
	for i := range part {
		part[i].V[Worn], part[i].V[WornMinutes] = Num(WornPart), Num(360)
	}
	if w := CountDental(part, 0); w != (Weeks{Unknown: 1}) {
		t.Errorf("sleep not known: %+v", w)
	}
}

// 25 good nights told of in 210 calendar nights are 11.9 %: a rule of 70 % is not met by silence, however good the
// nights were that somebody told of.
func TestSilentNightsCountAgainstTheRule(t *testing.T) {
	nights := make([]Entry, 210)
	for i := range 25 {
		nights[i].V[Worn] = Num(WornAll)
	}
	n := CountPayer(nights)
	if s, ok := n.Share(); !ok || s != 1000 {
		t.Errorf("of the nights told of: %d", s)
	}
	if s, ok := n.CalendarShare(); !ok || s != 119 || n.PayerRegular() {
		t.Errorf("of the calendar: %d, met %v", s, n.PayerRegular())
	}
	if s, ok := n.Reported(); !ok || s != 119 {
		t.Errorf("told of: %d", s)
	}
}
