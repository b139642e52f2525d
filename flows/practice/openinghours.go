package practice

import (
	"duskdawn/flows/civil"
)

// Office hours, on the practice's own wall clock.

// farAhead is how many days ahead an opening is looked for; a practice that
// states no hours has none.
const farAhead = 60

// spans are the hours of one day: none on a holiday.
func (pr *Practice) spans(d civil.Date) []Span {
	for _, h := range pr.Holidays {
		if h == d {
			return nil
		}
	}
	return pr.Hours[d.Weekday()]
}

// IsOpen reports whether somebody is in the office.
func (pr *Practice) IsOpen(w civil.Wall) bool {
	for _, s := range pr.spans(w.Date) {
		if s.From <= w.Clock && w.Clock < s.To {
			return true
		}
	}
	return false
}

// Opens is the next time the office opens, or w itself where it is open; false
// where no hours are stated.
func (pr *Practice) Opens(w civil.Wall) (civil.Wall, bool) {
	if pr.IsOpen(w) {
		return w, true
	}
	for d := w.Date; d < w.Date+farAhead; d++ {
		best := civil.Clock(-1)
		for _, s := range pr.spans(d) {
			if s.From < s.To && (d > w.Date || s.From > w.Clock) && (best < 0 || s.From < best) {
				best = s.From
			}
		}
		if best >= 0 {
			return civil.Wall{Date: d, Clock: best}, true
		}
	}
	return civil.Wall{}, false
}

// DayEnds is the end of this working day, or of the next one where this day's
// work is over or there is none; false where no hours are stated.
func (pr *Practice) DayEnds(w civil.Wall) (civil.Wall, bool) {
	for d := w.Date; d < w.Date+farAhead; d++ {
		last := civil.Clock(-1)
		for _, s := range pr.spans(d) {
			if s.From < s.To {
				last = max(last, s.To)
			}
		}
		if last >= 0 && (d > w.Date || w.Clock < last) {
			return civil.Wall{Date: d, Clock: 0}.Add(int(last)), true
		}
	}
	return civil.Wall{}, false
}

// Closed reports whether the office has hours, and its day has not begun or is
// over: in a break at noon everybody is still about.
func (pr *Practice) Closed(w civil.Wall) bool {
	first, hours := pr.Opens(civil.Wall{Date: w.Date})
	if !hours || pr.IsOpen(w) {
		return false
	}
	end, _ := pr.DayEnds(w)
	return first.Date != w.Date || w.Clock < first.Clock || end.Date != w.Date
}

// WorkingDays counts the days of a span, both ends included, on which the office
// opens; without stated hours, those from Monday to Friday.
func (pr *Practice) WorkingDays(from, to civil.Date) (n int) {
	for d := from; d <= to; d++ {
		o, hours := pr.Opens(civil.Wall{Date: d})
		if day := d.Weekday(); hours && o.Date == d || !hours && day >= 1 && day <= 5 {
			n++
		}
	}
	return n
}

// NextMorning is the first opening on a later day; without stated hours, this
// time tomorrow.
func (pr *Practice) NextMorning(w civil.Wall) civil.Wall {
	if o, ok := pr.Opens(civil.Wall{Date: w.Date + 1, Clock: 0}); ok {
		return o
	}
	return w.Add(1440)
}

// Reachable reports whether a message reaches a person now.
func (s *Staff) Reachable() bool { return s.Chat != 0 && !s.Removed && !s.Unreach }

// usual are the deadlines that a practice which says nothing has, in minutes.
const (
	UsualE = 15
	UsualS = 60
)

// UsualContact is after how many days without a clinician's contact a review is due.
const UsualContact = 90
