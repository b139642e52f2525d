package pacing

import (
	"duskdawn/flows/chart"
)

// The rows of the reference that need more than a line: P07, P14, P17, and what a night
// brings.

// sore is P07: the morning of last night, judged once.
func (s *sheet) sore(back func(int, int), stay func(int), out func(), good int, hasGood bool, last *sheetNight) {
	d, start := len(s.nights), s.high <= 0
	s.flag = s.flag || last.notBack()
	to := s.low - 1
	if hasGood {
		to = min(to, good)
	}
	to = max(to, 0)
	if s.holding { // the state is kept, and the diary ends: what follows is not written here
		back(7, to)
		s.over = true
		return
	}
	nth := 1
	if s.resting {
		if nth = s.restHits + 1; nth > 1 {
			to = max(min(to, s.restAt-1), 0)
		}
	}
	if start {
		nth = max(nth, s.startHits+1)
		s.startHits++
	}
	s.restHits = nth
	if nth >= 3 {
		out()
		s.flag = true
		return
	}
	s.flag = s.flag || start || nth > 1
	if start {
		stay(7)
	} else {
		back(7, to)
	}
	s.hit = true
	s.restSettles = start || s.settling || s.resting && s.restSettles
	s.resting, s.restFrom, s.restAt, s.slow = true, d, to, true
	if s.restSettles {
		s.settleFrom = d
	}
	s.arrived, s.acted = d, d
	if start {
		return
	}
	limit, twice := s.high, false
	for at := max(s.low, 1); at <= s.high; at++ {
		if s.backed[at] {
			limit, twice = min(limit, at-1), true
		}
		s.backed[at] = true
	}
	if twice {
		if hasGood {
			limit = min(limit, good)
		}
		if limit = max(limit, 0); s.limit < 0 || limit < s.limit {
			s.limit = limit
		}
	}
}

// gather is P14: too little was heard here since it came here.
func (s *sheet) gather(d, target, loud int, stay func()) {
	from := max(d-14, 0)
	for i := d - 1; i >= from; i-- { // since the last arrival: a night elsewhere is before it
		if n := &s.nights[i]; n.low > s.at || n.high < s.at {
			from = i + 1
			break
		}
	}
	r := s.reports(from, s.at, s.at)
	switch {
	case len(r) < 3:
		near := s.reports(d-14, s.at-500/s.step, s.at)
		if len(near) < 3 || near[0] <= target || near[1] <= target || near[2] <= target {
			stay()
		}
	case len(r) == 3:
		louds, others := 0, []int{}
		for _, x := range r {
			if x >= loud {
				louds++
			} else {
				others = append(others, x)
			}
		}
		if total(r) <= 3*target || louds > 0 && len(others) > 0 && total(others) <= len(others)*target {
			stay()
		}
	default:
		r = r[:4]
		worst, n := 0, 4
		for _, x := range r {
			if x >= loud {
				worst = max(worst, x)
			}
		}
		if worst > 0 {
			n = 3
		}
		if total(r)-worst <= n*target {
			stay()
		}
	}
}

// gain is P17: after 3 mm the newest reports are above 80 % of the first, or no lower
// than they were 3 mm ago.
func (s *sheet) gain(stay func()) {
	behind := s.at - (3000+s.step-1)/s.step
	pool := func(top int) (scores []int) { // the newest four from a setting downwards
		for at := top; at >= 0 && len(scores) < 4; at-- {
			r := s.reports(0, at, at)
			scores = append(scores, r[:min(len(r), 4-len(scores))]...)
		}
		return scores
	}
	for first := 0; first <= behind; first++ {
		if len(s.reports(0, 0, first)) < 4 {
			continue
		}
		now, was := total(pool(s.at)), total(pool(first))
		if 100*now > 80*was || now >= total(pool(behind)) {
			stay()
		}
		return
	}
}

// night takes the patient's reply to the advice, and the morning.
func (s *sheet) night(do chart.Action, to, rule int, said bool, n sheetNight) {
	d := len(s.nights)
	s.low, s.high = min(s.low, to), max(s.high, to)
	switch {
	case do == chart.Forward || do == chart.GoBack:
		s.advised = to
	case do == chart.Stay && s.confirmed >= d-1: // nothing is taken back while the setting was not said
		s.advised = to
	}
	moved := 0
	if said {
		moved = max(to-s.at, 0)
		if to != s.at {
			s.arrived = d
			if to > s.at {
				s.startHits, s.restHits = 0, 0
			}
		}
		s.at, s.low, s.high, s.confirmed = to, to, to, d
		s.advised = to
	}
	n.low, n.high, n.said = s.low, s.high, said
	s.nights, s.moves = append(s.nights, n), append(s.moves, moved)
}
