package flows

// Adherence to the appliance by two published rules, which can disagree: the
// rule is always named beside its figure. A silent night is unknown, never zero.

// The thresholds of the two rules.
const (
	payerMinutes  = 240 // 4 hours a night ...
	payerShare    = 700 // ... on 70.0 % of nights: the payer rule for positive airway pressure, doi 10.15331/jdsm.7204
	dentalShare   = 800 // at least 80.0 % of the night's sleep ...
	dentalNights  = 5   // ... on at least 5 nights a week: doi 10.15331/jdsm.7204
	daysInAWeek   = 7
	tenthsPercent = 1000
)

// Nights counts worn nights for a share: of those answered, and of the calendar.
type Nights struct {
	Counted  int // nights that count under the rule
	Answered int
	Calendar int
}

// Share gives the share of answered nights in tenths of a per cent; false
// where none was answered.
func (n Nights) Share() (tenths int, ok bool) { return share(n.Counted, n.Answered) }

// CalendarShare gives it of all calendar nights.
func (n Nights) CalendarShare() (tenths int, ok bool) { return share(n.Counted, n.Calendar) }

// share rounds half up to a tenth of a per cent.
func share(part, whole int) (tenths int, ok bool) {
	if whole <= 0 || part < 0 {
		return 0, false
	}
	return (2*part*tenthsPercent + whole) / (2 * whole), true
}

// PayerRegular is the payer rule: at least 4 hours on at least 70 % of nights.
// It compares whole numbers, never a rounded share.
func (n Nights) PayerRegular() bool {
	return n.Answered > 0 && n.Counted*tenthsPercent >= payerShare*n.Answered
}

// PayerNight tells whether a night counts under the payer rule: exactly 4
// hours do.
func PayerNight(minutes int) bool { return minutes >= payerMinutes }

// DentalNight tells whether a night counts under the dental rule: worn for at
// least 80 % of the sleep. Without sleep nothing can be said.
func DentalNight(worn, sleep int) (counts, ok bool) {
	if sleep <= 0 || worn < 0 {
		return false, false
	}
	return worn*tenthsPercent >= dentalShare*sleep, true
}

// DentalWeek tells whether a week of counting nights is compliant.
func DentalWeek(counting int) bool { return counting >= dentalNights }

// CountPayer counts the nights of a course under the payer rule. All night
// without a time counts: the hours were not asked.
func CountPayer(nights []Entry) (n Nights) {
	n.Calendar = len(nights)
	for i := range nights {
		worn, known := nights[i].worn(payerMinutes)
		if known {
			n.Answered++
		}
		if worn {
			n.Counted++
		}
	}
	return n
}

// CountDental counts weeks of seven nights, oldest first, that are compliant
// when sleep is this many minutes a night; a started week is left out.
func CountDental(nights []Entry, sleep int) (compliant, weeks int) {
	for len(nights) >= daysInAWeek {
		counting := 0
		for i := range nights[:daysInAWeek] {
			e := &nights[i]
			if e.V[Worn].Is(WornAll) {
				counting++
				continue
			}
			if m := e.V[WornMinutes]; m.Known() {
				if counts, _ := DentalNight(m.N(), sleep); counts {
					counting++
				}
			}
		}
		weeks++
		if DentalWeek(counting) {
			compliant++
		}
		nights = nights[daysInAWeek:]
	}
	return compliant, weeks
}
