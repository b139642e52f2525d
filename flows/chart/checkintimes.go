package chart

import (
	"duskdawn/flows/civil"
)

// boundary is where the plan's nights part.
func (p *Plan) boundary() civil.Clock {
	if p.Boundary == 0 {
		return civil.Noon
	}
	return p.Boundary
}

// EveningAt is when the evening check-in of a night is asked, morningAt the one
// of the morning that ends it.
func (p *Plan) EveningAt(night civil.Date) civil.Wall { return p.at(night, p.Evening) }

func (p *Plan) MorningAt(night civil.Date) civil.Wall { return p.at(night, p.Morning) }

func (p *Plan) at(night civil.Date, c civil.Clock) civil.Wall {
	if c < p.boundary() {
		return civil.Wall{Date: night + 1, Clock: c}
	}
	return civil.Wall{Date: night, Clock: c}
}

// dawn is how long before the morning check-in a night counts as slept.
const dawn = 4 * 60

// Half tells which night a wall time belongs to, and whether that night is
// behind the patient by then: at 00:30 it is still ahead, at 07:00 it is what a
// morning's answers are about. The turn is four hours before the morning hour,
// or half way from the evening hour where those are closer.
func (p *Plan) Half(w civil.Wall) (night civil.Date, morning bool) {
	from := int(p.boundary())
	into := func(c civil.Clock) int { // asked many times a message: no division
		if n := int(c) - from; n >= 0 {
			return n
		}
		return int(c) - from + 1440
	}
	evening, wake := into(p.Evening), into(p.Morning)
	turn := max(wake-dawn, (evening+wake)/2)
	return p.Night(w), into(w.Clock) >= turn
}

// Signed is the plan with the hours that were signed.
func (p Plan) Signed() Plan {
	if p.SignedEvening > 0 {
		p.Evening = p.SignedEvening - 1
	}
	if p.SignedMorning > 0 {
		p.Morning = p.SignedMorning - 1
	}
	p.SignedEvening, p.SignedMorning = 0, 0
	return p
}

// InHalf reports whether a check-in of the evening, or of the morning, may come at a
// time of day without a new revision: in its half of the day, by the hours that were
// signed.
func (p Plan) InHalf(c civil.Clock, morning bool) bool {
	s := p.Signed()
	_, m := s.Half(civil.Wall{Date: 20000, Clock: c})
	return c >= 0 && c < 1440 && m == morning
}

// Moved gives the plan another hour for a check-in, and keeps the one that was signed.
func (p Plan) Moved(c civil.Clock, morning bool) Plan {
	s := p.Signed()
	was, at, signed := s.Evening, &p.Evening, &p.SignedEvening
	if morning {
		was, at, signed = s.Morning, &p.Morning, &p.SignedMorning
	}
	*at, *signed = c, was+1
	if c == was {
		*signed = 0
	}
	return p
}

// Slack is how many minutes after a wall time a check-in still falls into the
// same half of the same night.
func (p *Plan) Slack(w civil.Wall) int {
	night, morning := p.Half(w)
	for n := CheckinSlack; n > 0; n-- {
		if on, m := p.Half(w.Add(n)); on == night && m == morning {
			return n
		}
	}
	return 0
}

// CheckinSlack is how many minutes after its hour a check-in may come: well
// before the reminder, which follows the prompt, and long before it is too late.
const CheckinSlack = 30
