package chart

// Adherence to the appliance by two published rules, which can disagree: the
// rule is always named beside its figure. A silent night is unknown, never zero.

// The thresholds of the two rules.
const (
	PayerMinutes  = 240 // 4 hours a night ...
	payerShare    = 700 // ... on 70.0 % of nights: the payer rule for positive airway pressure, doi 10.15331/jdsm.7204
	DentalShare   = 800 // at least 80.0 % of the night's sleep ...
	dentalNights  = 5   // ... on at least 5 nights a week: doi 10.15331/jdsm.7204
	daysInAWeek   = 7
	TenthsPercent = 1000
)

// Nights counts worn nights for a share: of those answered, and of the calendar.
type Nights struct {
	Counted  int // nights that count under the rule
	Answered int
	Calendar int
}

// Share gives the share of answered nights in tenths of a per cent; false
// where none was answered.
func (n Nights) Share() (tenths int, ok bool) { return Share(n.Counted, n.Answered) }

// CalendarShare gives it of all calendar nights.
func (n Nights) CalendarShare() (tenths int, ok bool) { return Share(n.Counted, n.Calendar) }

// Share rounds half up to a tenth of a per cent.
func Share(part, whole int) (tenths int, ok bool) {
	if whole <= 0 || part < 0 {
		return 0, false
	}
	return (2*part*TenthsPercent + whole) / (2 * whole), true
}

// Reported gives the share of calendar nights of which wear is known.
func (n Nights) Reported() (tenths int, ok bool) { return Share(n.Answered, n.Calendar) }

// PayerRegular is the payer rule: at least 4 hours on at least 70 % of the
// calendar's nights. A night that nobody told of counts against it: what is
// reported on good nights alone must not say that the rule is met. It compares
// whole numbers, never a rounded share.
func (n Nights) PayerRegular() bool {
	return n.Calendar > 0 && n.Counted*TenthsPercent >= payerShare*n.Calendar
}

// PayerNight reports whether a night counts under the payer rule: exactly 4
// hours do.
func PayerNight(minutes int) bool { return minutes >= PayerMinutes }

// DentalNight reports whether a night counts under the dental rule: worn for at
// least 80 % of the sleep. Without sleep nothing can be said.
func DentalNight(worn, sleep int) (counts, ok bool) {
	if sleep <= 0 || worn < 0 {
		return false, false
	}
	return worn*TenthsPercent >= DentalShare*sleep, true
}

// DentalWeek reports whether a week of counting nights is compliant.
func DentalWeek(counting int) bool { return counting >= dentalNights }

// CountPayer counts the nights of a course under the payer rule. All night
// without a time counts: the hours were not asked.
func CountPayer(nights []Entry) (n Nights) {
	n.Calendar = len(nights)
	for i := range nights {
		worn, known := nights[i].Worn(PayerMinutes)
		if known {
			n.Answered++
		}
		if worn {
			n.Counted++
		}
	}
	return n
}

// Weeks counts whole weeks under the dental rule.
type Weeks struct {
	Met, Missed int
	Unknown     int // too little is known to tell
}

// CountDental judges weeks of seven nights, oldest first; a started week is
// left out. sleep is how many minutes asleep a night had, 0 where that is not
// known: then a night worn in part cannot be judged. A silent night is unknown:
// a week is met or missed only where its unknown nights can change nothing.
func CountDental(nights []Entry, sleep int) (w Weeks) {
	for len(nights) >= daysInAWeek {
		counting, unknown := 0, 0
		for i := range nights[:daysInAWeek] {
			switch counts, known := nights[i].dental(sleep); {
			case !known:
				unknown++
			case counts:
				counting++
			}
		}
		switch {
		case DentalWeek(counting):
			w.Met++
		case !DentalWeek(counting + unknown):
			w.Missed++
		default:
			w.Unknown++
		}
		nights = nights[daysInAWeek:]
	}
	return w
}

// dental reports whether a night counts under the dental rule.
func (e *Entry) dental(sleep int) (counts, known bool) {
	switch m := e.V[WornMinutes]; {
	case e.V[Worn].Is(WornAll):
		return true, true
	case e.V[Worn].Is(WornNo):
		return false, true
	case m.Known():
		return DentalNight(m.N(), sleep)
	}
	return false, false
}
