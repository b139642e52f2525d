package flows

// boundary is where the plan's nights part.
func (p *Plan) boundary() Clock {
	if p.Boundary == 0 {
		return Noon
	}
	return p.Boundary
}

// eveningAt is when the evening check-in of a night is asked, morningAt the one
// of the morning that ends it.
func (p *Plan) eveningAt(night Date) Wall { return p.at(night, p.Evening) }

func (p *Plan) morningAt(night Date) Wall { return p.at(night, p.Morning) }

func (p *Plan) at(night Date, c Clock) Wall {
	if c < p.boundary() {
		return Wall{night + 1, c}
	}
	return Wall{night, c}
}

// dawn is how long before the morning check-in a night counts as slept.
const dawn = 4 * 60

// half tells which night a wall time belongs to, and whether that night is
// behind the patient by then: at 00:30 it is still ahead, at 07:00 it is what a
// morning's answers are about. The turn is four hours before the morning hour,
// or half way from the evening hour where those are closer.
func (p *Plan) half(w Wall) (night Date, morning bool) {
	into := func(c Clock) int { return (int(c) - int(p.boundary()) + 1440) % 1440 }
	evening, wake := into(p.Evening), into(p.Morning)
	turn := max(wake-dawn, (evening+wake)/2)
	return p.Night(w), into(w.Clock) >= turn
}

// slack is how many minutes after a wall time a check-in still falls into the
// same half of the same night.
func (p *Plan) slack(w Wall) int {
	night, morning := p.half(w)
	for n := CheckinSlack; n > 0; n-- {
		if on, m := p.half(w.Add(n)); on == night && m == morning {
			return n
		}
	}
	return 0
}

// CheckinSlack is how many minutes after its hour a check-in may come: well
// before the reminder, which follows the prompt, and long before it is too late.
const CheckinSlack = 30
