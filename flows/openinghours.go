package flows

// Office hours, on the practice's own wall clock.

// farAhead is how many days ahead an opening is looked for; a practice that
// states no hours has none.
const farAhead = 60

// spans are the hours of one day: none on a holiday.
func (pr *Practice) spans(d Date) []Span {
	for _, h := range pr.Holidays {
		if h == d {
			return nil
		}
	}
	return pr.Hours[d.Weekday()]
}

// IsOpen tells whether somebody is in the office.
func (pr *Practice) IsOpen(w Wall) bool {
	for _, s := range pr.spans(w.Date) {
		if s.From <= w.Clock && w.Clock < s.To {
			return true
		}
	}
	return false
}

// Opens is the next time the office opens, or w itself where it is open; false
// where no hours are stated.
func (pr *Practice) Opens(w Wall) (Wall, bool) {
	if pr.IsOpen(w) {
		return w, true
	}
	for d := w.Date; d < w.Date+farAhead; d++ {
		best := Clock(-1)
		for _, s := range pr.spans(d) {
			if s.From < s.To && (d > w.Date || s.From > w.Clock) && (best < 0 || s.From < best) {
				best = s.From
			}
		}
		if best >= 0 {
			return Wall{d, best}, true
		}
	}
	return Wall{}, false
}

// DayEnds is the end of this working day, or of the next one where this day's
// work is over or there is none; false where no hours are stated.
func (pr *Practice) DayEnds(w Wall) (Wall, bool) {
	for d := w.Date; d < w.Date+farAhead; d++ {
		last := Clock(-1)
		for _, s := range pr.spans(d) {
			if s.From < s.To {
				last = max(last, s.To)
			}
		}
		if last >= 0 && (d > w.Date || w.Clock < last) {
			return Wall{d, 0}.Add(int(last)), true
		}
	}
	return Wall{}, false
}

// NextMorning is the first opening on a later day; without stated hours, this
// time tomorrow.
func (pr *Practice) NextMorning(w Wall) Wall {
	if o, ok := pr.Opens(Wall{w.Date + 1, 0}); ok {
		return o
	}
	return w.Add(1440)
}

// Reachable tells whether a message reaches a person now.
func (s *Staff) Reachable() bool { return s.Chat != 0 && !s.Removed && !s.Unreach }

// usual are the deadlines that a practice which says nothing has, in minutes.
const (
	usualE = 15
	usualS = 60
)
