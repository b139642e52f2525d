package pacing

import "duskdawn/flows/chart"

// What a sore morning and the rows of a step say, and what people do: the patient who
// says a count, the desk that visits and releases.

// beyond is a count above ceiling or travel: a flag that sets back.
func (s *sheet) beyond() {
	for _, f := range s.flags {
		if f.id == "beyond" {
			return
		}
	}
	s.raise("beyond", 'S', false, false)
	s.backTo, s.backOn = max(0, min(s.at, s.ever())), len(s.n)+1
}

// soreMorning is P07.
func (s *sheet) soreMorning(d int, last *sheetNight, say func(int, chart.Action, int)) {
	to := max(0, s.low-1)
	g, ok := s.good()
	if ok {
		to = min(to, g)
	}
	if s.path == chart.Holding {
		near := 1
		for i := max(0, d-7, s.visited); i < d-1; i++ {
			if s.sore(&s.n[i]) || s.n[i].was {
				near++
			}
		}
		last.was, s.acted = true, d
		if s.high == 0 {
			s.startHits++
			s.raise("start", 'N', false, true)
		}
		if notBack(last) {
			s.raise("bite.midday", 'N', false, true)
		}
		if near == 2 {
			s.raise("sore.twice", 'N', false, true)
		}
		if near >= 3 {
			s.raise("sore.third", 'S', true, true)
			say(7, chart.LeaveOut, 0)
		} else {
			say(7, chart.GoBack, to)
			if s.high > 0 {
				s.back(g, ok)
			}
		}
		return
	}
	last.was, s.acted = true, d
	start := s.high == 0
	nth := 1
	if s.path == chart.Resting {
		if nth = s.restHits + 1; nth > 1 {
			to = max(0, min(to, s.restAt-1)) // one below where it rests, where there is one
		}
	}
	if start {
		to = 0
		s.startHits++
		nth = max(nth, s.startHits)
		s.settled, s.settleFrom, s.restTo = false, d, chart.Settling
	}
	s.restHits = nth
	if notBack(last) {
		s.raise("bite.midday", 'N', false, true)
	}
	if nth >= 3 {
		if start && s.path == chart.Stepping {
			s.path = chart.Settling
		}
		s.raise("sore.third", 'S', true, true)
		say(7, chart.LeaveOut, 0)
		return
	}
	switch {
	case start:
		s.raise("start", 'N', false, true)
	case nth == 2:
		s.raise("sore.twice", 'N', false, true)
	}
	if s.path != chart.Resting && !start {
		s.restTo = chart.Stepping
		if !s.settled {
			s.restTo = chart.Settling
		}
	}
	if s.restTo == chart.Settling {
		s.settled, s.settleFrom = false, d
	}
	s.path, s.restFrom, s.restAt, s.easyRun, s.arrived = chart.Resting, d, to, 0, d
	s.doubled, s.doubledTo, s.restDone = true, to+1, never
	say(7, chart.GoBack, to)
	if !start {
		s.back(g, ok)
	}
}

// back notes a go-back from every setting it may have stood at; a second one
// from one of them makes the comfort limit.
func (s *sheet) back(g int, ok bool) {
	twice, l := false, s.high
	for x := max(1, s.low); x <= s.high; x++ {
		if s.backed[x] {
			twice, l = true, min(l, x-1)
		}
		s.backed[x] = true
	}
	if !twice {
		return
	}
	if ok {
		l = min(l, g)
	}
	if s.limit < 0 || l < s.limit || s.grant > 0 {
		s.limit = max(0, l)
	}
	s.grant = 0
}

// steps is P13 to P16.
func (s *sheet) steps(d int, fired map[int]bool, say func(int, chart.Action, int)) {
	timed := s.p.timetable && (s.at <= s.p.top || s.at <= s.grant)
	on := s.path == chart.Settling || s.path == chart.Stepping
	if on && !timed && !s.lifted() {
		r := s.here(d-14, s.at, s.at)
		week := s.here(d-7, s.at, s.at)
		quiet := len(r) >= 4 && total(r[:4]) <= 4*s.p.target
		for i, v := range r {
			quiet = quiet && (i >= 4 || v < s.p.loud)
		}
		for _, v := range week {
			quiet = quiet && v < s.p.loud
		}
		if quiet {
			say(13, chart.Stay, 0)
		}
	}
	if !timed && !s.lifted() {
		r := s.here(max(d-14, s.came), s.at, s.at)
		loud, others := 0, 0
		for i, v := range r {
			if i < 4 && v >= s.p.loud {
				loud++
			} else if i < 4 {
				others += v
			}
		}
		gather := false
		switch {
		case len(r) < 3:
			near := s.here(d-14, s.at-500/s.p.step, s.at)
			gather = len(near) < 3 || near[0] <= s.p.target || near[1] <= s.p.target || near[2] <= s.p.target
		case len(r) == 3:
			gather = total(r) <= 3*s.p.target
			gather = gather || loud > 0 && loud < 3 && others <= (3-loud)*s.p.target
		default:
			most := max(r[0], r[1], r[2], r[3])
			gather = total(r[:4]) <= 4*s.p.target || most >= s.p.loud && total(r[:4])-most <= 3*s.p.target
		}
		if gather {
			say(14, chart.Stay, 0)
		}
	}
	count := 0
	for i := max(0, s.arrived); i < d; i++ {
		if n := &s.n[i]; n.worn == 1 && !n.out && n.low == n.high && n.low == s.at {
			count++
		}
	}
	need := s.p.interval
	if s.doubled {
		need = (need*s.p.factor10 + 9) / 10
	}
	pace, at, peak := s.p.step, 0, 0
	for i := max(0, d-7); i < d; i++ { // from the lowest of the night before the seven
		switch n := &s.n[i]; {
		case i < d-6:
			at = n.low
			for k := i; k >= 0; k-- {
				if s.n[k].told != untold {
					at = min(at, s.n[k].low)
					break
				}
			}
			peak = at
		case n.told != untold:
			pace += (max(peak, n.told) - at) * s.p.step
			at, peak = n.told, n.told
		default: // a step that was told may have been made, and set back since
			peak = max(peak, n.high)
		}
	}
	if v, ok := s.move[d]; ok { // a visit
		pace += (max(peak, v) - at) * s.p.step
	}
	if s.arrived >= 0 && count < need || pace > 1000 {
		say(15, chart.Stay, 0)
	}
	next := s.at + 1
	if next > s.hard() || s.limit >= 0 && next > s.limit && next > s.grant || s.order > 0 && next > s.order ||
		s.p.timetable && next > s.p.top && next > s.grant {
		say(16, chart.Stay, 0)
	}
}

// flat is P17.
func (s *sheet) flat() bool {
	if s.p.timetable && (s.at <= s.p.top || s.at <= s.grant) || s.lifted() {
		return false
	}
	pool := func(top, most int) (sum, n int) { // the newest from this setting downwards
		for x := top; x >= 0 && n < most; x-- {
			for _, v := range s.here(0, x, x) {
				if n < most {
					sum, n = sum+v, n+1
				}
			}
		}
		return sum, n
	}
	for first := 0; first <= s.at; first++ {
		r := s.here(0, 0, first)
		if len(r) < 4 {
			continue
		}
		if (s.at-first)*s.p.step < 3000 {
			return false
		}
		now, n := pool(s.at, 4)
		early, m := pool(first, 4)
		if 100*now*m > s.p.gain*early*n {
			return true
		}
		back := s.at - (3000+s.p.step-1)/s.p.step
		was, k := pool(back, 4)
		return k > 0 && now*k >= was*n
	}
	return false
}

// confirm is the patient's word for night d.
func (s *sheet) confirm(d, c int) {
	s.n[d].told = c
	lo, hi := min(s.at, s.advised), max(s.at, s.advised)
	again := s.doubtOn == d-1 && s.doubtAt == c && c >= 0
	if (c < lo || c > hi || c < 0) && !again {
		s.doubt, s.doubtAt, s.doubtOn = true, c, d
		if c > s.hard() {
			s.beyond()
		}
		s.low, s.high = min(s.low, c), max(s.high, c)
		s.mark(d)
		return
	}
	s.doubt = false
	s.n[d].said = true
	s.stand(d, c)
	s.advised = min(s.advised, c)
	s.mark(d)
}

// stand is where it is known to stand from now on.
func (s *sheet) stand(d, c int) {
	if c != s.at {
		s.arrived, s.came = d, d
	}
	if c > s.at && c == s.advised {
		s.restHits, s.startHits = 0, 0
	}
	s.at, s.low, s.high = c, c, c
}

// mark notes where it may stand that night.
func (s *sheet) mark(d int) {
	if d < len(s.n) {
		s.n[d].low, s.n[d].high = s.low, s.high
		if s.doubt {
			s.n[d].low, s.n[d].high = s.low, max(s.high, s.low+1)
		}
	}
}

// visit: the setting is now v; counts restart.
func (s *sheet) visit(d, v int) {
	moves := v != s.at
	if v < s.at {
		s.grant = 0
	}
	s.stand(d, v)
	s.move[d] = v
	s.doubt = false
	s.seen, s.doubtOn = d, -9
	s.arrived, s.came = d, d
	s.advised, s.visited, s.acted, s.contact, s.lapsed = v, d, d, d, false
	if !s.settled || s.path == chart.Resting && s.restTo == chart.Settling {
		s.settled, s.settleFrom = false, d
	}
	s.restHits, s.startHits, s.order = 0, 0, 0
	switch {
	case s.path == chart.Resting:
		s.restFrom, s.restAt, s.easyRun = d, v, 0
	case s.path == chart.Holding && moves:
		s.path = chart.Stepping
	}
}

// release lifts every flag, at a setting.
func (s *sheet) release(d, to int) {
	jaw, since := false, false
	for _, f := range s.flags {
		jaw = jaw || f.jaw
		since = since || f.jaw && s.restDone < f.day
	}
	s.flags = nil
	s.contact, s.lapsed = d, false
	if !jaw {
		s.advised = min(s.advised, to)
		return
	}
	t := min(to, s.advised, s.ever())
	s.advised = t
	if since && (s.path == chart.Settling || s.path == chart.Stepping) {
		s.restTo = s.path
		if s.path == chart.Settling {
			s.settleFrom = d
		}
		s.path, s.restFrom, s.restAt, s.easyRun, s.restHits = chart.Resting, d, t, 0, 0
		s.doubled, s.doubledTo = true, t+1
		s.arrived = d
	}
}

// shown is the state that people see.
func (s *sheet) shown() chart.State {
	for _, f := range s.flags {
		if f.class == 'S' {
			return chart.Stopped
		}
	}
	return s.path
}
