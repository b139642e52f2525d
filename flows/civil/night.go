package civil

import "time"

// Date is a calendar day, counted from 1970-01-01. A night is named by the
// Date of its evening.
type Date int32

// Clock is a time of day in minutes after midnight, 0 to 1439.
type Clock int16

// Wall is a local date and time of day, without a zone. Zones are the
// scheduler's: the core only ever sees what a clock on the wall would show.
type Wall struct {
	Date  Date  `cbor:"1,keyasint,omitempty"`
	Clock Clock `cbor:"2,keyasint,omitempty"`
}

// Noon is where one night ends and the next begins, unless a plan moves it.
const Noon Clock = 12 * 60

// DateOf returns the Date of a calendar day.
func DateOf(year int, month time.Month, day int) Date {
	return Date(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// ParseDate reads YYYY-MM-DD.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, err
	}
	return Date(t.Unix() / 86400), nil
}

// Time returns midnight UTC of the date, for its calendar parts only.
func (d Date) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// String gives YYYY-MM-DD.
func (d Date) String() string { return d.Time().Format(time.DateOnly) }

// String gives HH:MM.
func (c Clock) String() string {
	return string([]byte{'0' + byte(c/600%10), '0' + byte(c/60%10), ':', '0' + byte(c%60/10), '0' + byte(c%10)})
}

// Weekday returns the day of the week.
func (d Date) Weekday() time.Weekday { return d.Time().Weekday() }

// AddMonths goes n calendar months on; a day that the month does not have
// becomes its last day (31 August + 6 months is 28 or 29 February).
func (d Date) AddMonths(n int) Date {
	t := d.Time()
	first := time.Date(t.Year(), t.Month()+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return DateOf(first.Year(), first.Month(), min(t.Day(), last))
}

// Night returns the night that a wall time belongs to: from the boundary clock
// of one day to the same of the next, named by the first.
func (w Wall) Night(boundary Clock) Date {
	if w.Clock < boundary {
		return w.Date - 1
	}
	return w.Date
}

// Add goes minutes on, over midnight as often as needed; it knows no zone.
func (w Wall) Add(minutes int) Wall {
	m := int64(w.Date)*1440 + int64(w.Clock) + int64(minutes)
	d := m / 1440
	if m%1440 < 0 {
		d--
	}
	return Wall{Date(d), Clock(m - d*1440)}
}

// Before reports whether w comes before x on the calendar.
func (w Wall) Before(x Wall) bool {
	return w.Date < x.Date || w.Date == x.Date && w.Clock < x.Clock
}
