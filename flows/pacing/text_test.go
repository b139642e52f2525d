package pacing

import "duskdawn/flows/chart"

// The table once more, written from its text before its code was read, then held against
// it until every difference was settled: where the text is plain the program was mended,
// where it is not, both take the more careful reading. Each evening is worked out anew
// from the whole diary, with no window, no packing and no memory but what the text says is
// remembered. One side; a desk that visits, releases, grants and orders; a patient who
// turns too far, says a wrong count or nothing. What a person is told is not written here,
// nor a pause, a plan's revision, the reading of words or what comes after holding.

// untold is a night whose count was not said.
const untold = -99

// never is a night that does not come.
const never = 1 << 20

// sheetPlan is what it needs of a plan and an appliance.
type sheetPlan struct {
	step                         int // micrometres
	ceiling, travel              int // steps
	settle, interval, rest       int
	target, loud, easy, factor10 int
	gain                         int // per cent
	guide                        bool
	pain                         int // usual pain
	timetable                    bool
	top                          int
}

// sheetNight is one line of it; -1 is unknown.
type sheetNight struct {
	worn                    int // 1 worn, 0 not
	reason                  string
	snore, pain, woke, gone int // gone: 0 the same morning, 1 midday, 2 afternoon, 3 not
	guide, bite             int
	unusual                 bool
	low, high               int
	out, said, was          bool // was: a sore morning of a row
	told                    int  // the count that was said
}

// sheetFlag is an open flag.
type sheetFlag struct {
	id       string
	class    byte
	out, jaw bool
	day      int
}

// sheet is one course.
type sheet struct {
	p    sheetPlan
	n    []sheetNight
	move map[int]int // where a visit put it, by night

	path             chart.State
	at               int // last confirmed
	low, high        int
	advised          int
	doubt            bool
	doubtAt, doubtOn int

	arrived, came, settleFrom, acted, visited, contact int
	settled, lapsed                                    bool
	restFrom, restAt, restHits, startHits              int
	easyRun                                            int
	restTo                                             chart.State
	doubled                                            bool
	doubledTo, restDone                                int
	limit                                              int // -1 none
	backed                                             map[int]bool
	grant, order                                       int
	flags                                              []sheetFlag
	seen, backTo, backOn                               int
}

// sheetAdvice is what an evening says.
type sheetAdvice struct {
	action chart.Action
	to     int
	rule   int
}

// newSheet begins a course.
func newSheet(p sheetPlan) *sheet {
	return &sheet{p: p, move: map[int]int{}, path: chart.Settling, limit: -1, backed: map[int]bool{}, doubtOn: -9, arrived: -1,
		restAt: -1, restDone: -1, seen: -9}
}

// hurt is the worst pain; what is usual counts as 0.
func (s *sheet) hurt(n *sheetNight) int {
	if n.pain >= 0 && n.pain <= s.p.pain {
		return 0
	}
	return n.pain
}

// severe: 8 or more, or woken by 5 or more; woken without a score counts as 5.
func (s *sheet) severe(n *sheetNight) bool {
	return n.pain >= 8 || n.woke == 1 && (n.pain < 0 || n.pain >= 5)
}

// roused: woken by less.
func (s *sheet) roused(n *sheetNight) bool { return n.woke == 1 && n.pain >= 0 && n.pain < 5 }

// sore: pain of 5 to 7, past midday, taken out for pain, bite not back by midday.
func (s *sheet) sore(n *sheetNight) bool {
	h := s.hurt(n)
	return h >= 5 && h <= 7 || h > 0 && n.gone >= 2 || n.reason == "pain" || notBack(n)
}

// notBack: five hours after waking count as midday.
func notBack(n *sheetNight) bool { return n.bite >= 300 }

// comfortable: worn, surely at one setting, pain of 4 at most gone by noon, bite back
// within 45 minutes; and nobody woken, which is the more careful reading.
func (s *sheet) comfortable(n *sheetNight) bool {
	h := s.hurt(n)
	return !n.out && n.worn == 1 && n.low == n.high && h >= 0 && h <= 4 && (h == 0 || n.gone == 0 || n.gone == 1) &&
		n.bite >= 0 && n.bite <= 45 && n.woke != 1
}

// answered is all that P11 asks for.
func (s *sheet) answered(n *sheetNight) bool {
	h := s.hurt(n)
	return n.worn == 1 && !n.out && h >= 0 && (h == 0 || n.woke >= 0 && n.gone >= 0) && n.bite >= 0 && (n.guide >= 0 || !s.p.guide)
}

// easy is a morning that P09 counts.
func (s *sheet) easy(n *sheetNight) bool {
	h := s.hurt(n)
	return s.answered(n) && h <= s.p.easy && (h == 0 || n.gone == 0) && n.bite <= 60 && n.high <= s.restAt
}

// usable is a report that a rule may go by.
func (s *sheet) usable(n *sheetNight) bool {
	return n.worn == 1 && !n.out && n.low == n.high && n.snore >= 0 && !n.unusual
}

// ever is the last comfortable setting; 0 where there was none.
func (s *sheet) ever() int {
	for i := len(s.n) - 1; i >= 0; i-- {
		if s.comfortable(&s.n[i]) {
			return s.n[i].low
		}
	}
	return 0
}

// good is the last comfortable setting since the last visit.
func (s *sheet) good() (int, bool) {
	for i := len(s.n) - 1; i >= s.visited; i-- {
		if s.comfortable(&s.n[i]) {
			return s.n[i].low, true
		}
	}
	return 0, false
}

// sure: where it stands is known.
func (s *sheet) sure() bool { return s.low == s.high && !s.doubt }

// here lists the newest usable reports at settings lo..hi, from night a on.
func (s *sheet) here(a, lo, hi int) (out []int) {
	for i := len(s.n) - 1; i >= max(0, a); i-- {
		if n := &s.n[i]; s.usable(n) && n.low >= lo && n.low <= hi {
			out = append(out, n.snore)
		}
	}
	return out
}

// total is the sum of scores.
func total(x []int) (t int) {
	for _, v := range x {
		t += v
	}
	return t
}

// raise opens a flag, once.
func (s *sheet) raise(id string, class byte, out, jaw bool) {
	for _, f := range s.flags {
		if f.id == id {
			return
		}
	}
	s.flags = append(s.flags, sheetFlag{id, class, out, jaw, len(s.n)})
}

// lifted: a grant or an order leads further.
func (s *sheet) lifted() bool { return s.at < s.grant || s.at < s.order }

// hard is the lower of ceiling and travel.
func (s *sheet) hard() int { return min(s.p.ceiling, s.p.travel) }

// advise works out the evening of night d.
func (s *sheet) advise(d int) sheetAdvice {
	fired := map[int]bool{}
	best := sheetAdvice{action: chart.Forward, rule: 18}
	say := func(rule int, action chart.Action, to int) {
		fired[rule] = true
		if action == chart.GoBack && to >= s.high {
			action = chart.Stay
		}
		a := sheetAdvice{action: action, to: to, rule: rule}
		switch {
		case action < best.action,
			action == chart.GoBack && best.action == chart.GoBack && to < best.to:
			best = a
		}
	}
	var last *sheetNight
	if d > 0 {
		last = &s.n[d-1]
	}
	open, openOut := false, false // before tonight: what rows raise counts tomorrow
	for _, f := range s.flags {
		open = open || f.id != "beyond" || d >= s.backOn
		openOut = openOut || f.out
	}
	if d-s.contact >= 90 || s.lapsed {
		say(1, chart.Stay, 0)
	}
	for _, f := range s.flags {
		if f.id == "beyond" && d >= s.backOn {
			say(2, chart.GoBack, s.backTo)
		}
	}
	if open {
		if openOut {
			say(2, chart.LeaveOut, 0)
		} else {
			say(2, chart.Stay, 0)
		}
	}
	// worn
	gap := 0
	for i := d - 1; i >= 0 && (s.n[i].worn != 1 || s.n[i].out); i-- {
		if !s.n[i].out {
			gap++
		}
	}
	if gap >= 7 {
		if !s.settled || s.path == chart.Resting && s.restTo == chart.Settling {
			s.settled, s.settleFrom = false, d
		}
		s.arrived = d
	}
	if gap == 14 {
		s.lapsed = true
	}
	worn := 0
	for i := s.settleFrom; i < d; i++ {
		if s.n[i].worn == 1 && !s.n[i].out {
			worn++
		}
	}
	s.settled = s.settled || worn >= s.p.settle
	// pain and bite
	if last != nil && s.severe(last) {
		say(4, chart.LeaveOut, 0)
	} else if last != nil && s.roused(last) {
		say(4, chart.Stay, 0)
	}
	if !s.sure() || last != nil && !last.out && !last.said && s.seen < d-1 {
		say(5, chart.Stay, 0)
	}
	if s.high > s.advised || s.high > s.hard() {
		if s.high > s.hard() {
			s.beyond()
		}
		t := min(s.advised, s.hard())
		s.advised = t
		say(6, chart.GoBack, t)
	}
	away := 0
	for i := max(0, d-7, s.acted); i < d; i++ {
		if s.n[i].bite > 60 {
			away++
		}
	}
	if last != nil && (s.sore(last) || away >= 2 && last.bite > 60) {
		s.soreMorning(d, last, say)
	}
	if last != nil && last.bite > 60 {
		say(8, chart.Stay, 0)
	}
	// the rest
	if s.path == chart.Resting {
		bad := fired[4] || fired[5] || fired[6] || fired[7] || fired[8]
		if d-1 >= s.restFrom && s.easy(last) && !bad {
			s.easyRun++
		} else {
			s.easyRun = 0
		}
		if s.easyRun >= s.p.rest {
			s.path, s.doubled, s.doubledTo, s.restDone = s.restTo, true, s.restAt+1, d
		} else {
			say(9, chart.Stay, 0)
		}
	}
	if s.doubled && last != nil && d-1 >= s.restDone && s.comfortable(last) && last.low >= s.doubledTo &&
		s.path != chart.Resting {
		s.doubled = false
	}
	if !s.settled {
		say(10, chart.Stay, 0)
	} else if s.path == chart.Settling {
		s.path = chart.Stepping
	}
	if last != nil && !s.answered(last) {
		say(11, chart.Stay, 0)
	}
	if last != nil && (s.hurt(last) > 0 && s.hurt(last) < 5 && last.gone == 1 || last.guide == 0 && s.p.guide ||
		last.bite > 45 && last.bite <= 60) {
		say(12, chart.Stay, 0)
	}
	s.steps(d, fired, say)
	if s.path != chart.Settling && s.path != chart.Stepping && s.path != chart.Resting {
		say(3, chart.Stay, 0)
	}
	if len(fired) == 0 && s.flat() {
		say(17, chart.Stay, 0)
	}
	// what is told
	switch best.action {
	case chart.Forward:
		best.to = s.at + 1
		s.advised = best.to
	case chart.GoBack:
		s.advised = min(s.advised, best.to)
	case chart.Stay, chart.LeaveOut:
		best.to = min(s.at, s.hard())
	}
	if best.action == chart.Stay && (s.path == chart.Settling || s.path == chart.Stepping) &&
		(fired[13] || s.order > 0 && s.sure() && s.at >= s.order) {
		s.path = chart.Holding
	}
	s.n = append(s.n, sheetNight{worn: -1, snore: -1, pain: -1, woke: -1, gone: -1, guide: -1, bite: -1, told: untold,
		out: best.action == chart.LeaveOut})
	if best.action != chart.LeaveOut {
		s.low, s.high = min(s.low, s.advised), max(s.high, s.advised)
	}
	return best
}
