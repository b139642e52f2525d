package pacing

import (
	"duskdawn/flows/chart"
)

// The table once more, written from its text and with none of the code beside it:
// each evening is worked out anew from the whole diary, row by row, with no window, no
// packing and no memory but what the text says is remembered. One side, a partner who is
// heard or not, a patient who turns as told and sometimes says nothing; no desk. A diary
// ends at its first flag, since a person comes then.

// sheetNight is a night as somebody would write it down; -1 is unknown.
type sheetNight struct {
	worn, pain, gone, woken, guide, bite, snore int
	low, high                                   int // the settings it may have stood at
	said                                        bool
}

// sheet is the reference.
type sheet struct {
	lim                         chart.Limits
	step                        int // micrometres
	nights                      []sheetNight
	at, low, high               int // the last confirmed setting, and where it may stand
	advised                     int
	confirmed                   int // the night it was last confirmed for
	arrived                     int // the night it came here; -1 on fitting day
	moves                       []int
	settling, resting           bool
	settleFrom                  int
	restFrom, restAt            int
	restSettles                 bool
	restHits, startHits         int
	slow                        bool // the interval is longer
	acted                       int  // the last way back
	backed                      map[int]bool
	limit                       int // of comfort; -1 for none
	holding, lapsed, flag, over bool
	hit                         bool // this evening began a rest
	restarted                   int  // a gap at the fitting setting ended here; -1 for none
}

func (n *sheetNight) wornAll() bool { return n.worn == 1 }
func (n *sheetNight) sure() bool    { return n.low == n.high }

// usable: worn, surely at one setting, heard by the plan's reporter.
func (n *sheetNight) usable() bool { return n.wornAll() && n.sure() && n.snore >= 0 }

// answered: worn, pain, and of pain whether it woke and when it went, guide and bite.
func (n *sheetNight) answered() bool {
	pain := n.pain == 0 || n.pain > 0 && n.gone >= 0 && n.woken >= 0
	return n.worn == 0 || n.worn == 1 && pain && n.guide >= 0 && n.bite >= 0
}

func (n *sheetNight) past() bool { return n.pain > 0 && n.gone >= chart.GoneAfternoon }

// comfortable: worn, pain 4 at most and gone by noon, bite back within 45 minutes.
func (n *sheetNight) comfortable() bool {
	pain := n.pain == 0 || n.pain > 0 && n.pain <= 4 && n.gone >= 0 && !n.past()
	return n.wornAll() && n.sure() && pain && n.bite >= 0 && n.bite <= 45 && n.woken != 1
}

func (n *sheetNight) notBack() bool { return n.bite >= 300 }

// at since: the reports at a setting of the nights from one on, the newest first.
func (s *sheet) reports(from, low, high int) (scores []int) {
	for d := len(s.nights) - 1; d >= max(from, 0); d-- {
		if n := &s.nights[d]; n.usable() && n.low >= low && n.low <= high {
			scores = append(scores, n.snore)
		}
	}
	return scores
}

func total(scores []int) (sum int) {
	for _, x := range scores {
		sum += x
	}
	return sum
}

// evening works out tonight's advice: the action, the setting, the row.
func (s *sheet) evening() (do chart.Action, to, rule int) {
	d := len(s.nights)
	type says struct {
		do chart.Action
		to int
	}
	rows := map[int]says{}
	stay := func(id int) { rows[id] = says{chart.Stay, s.at} }
	back := func(id, to int) {
		if to = max(to, 0); s.high <= to {
			stay(id)
			return
		}
		rows[id] = says{chart.GoBack, to}
	}
	var last *sheetNight
	if d > 0 {
		last = &s.nights[d-1]
	}
	target, loud := int(s.lim.Target), int(s.lim.Loud)

	// what nights of a gap make of the counts
	gap := 0
	for i := d - 1; i >= 0 && !s.nights[i].wornAll(); i-- {
		gap++
	}
	since := 0 // the night behind the newest gap of seven
	for i, run := 0, 0; i < d; i++ {
		if run++; s.nights[i].wornAll() {
			run = 0
		}
		if run >= 7 {
			since = i + 1
		}
	}

	// rests and settling that are over
	rested := 0
	for i := d - 1; s.resting && i >= s.restFrom; i-- {
		n := &s.nights[i]
		pain := n.pain == 0 || n.pain <= 2 && n.gone == chart.GoneMorning && n.woken != 1
		if !n.wornAll() || !n.answered() || !n.said || n.high > s.restAt || !pain || n.bite > 60 {
			break
		}
		rested++
	}
	if s.resting && rested >= int(s.lim.RestMornings) {
		s.resting, s.settling = false, s.restSettles
	}
	settled := 0
	for i := max(s.settleFrom, since); i < d; i++ {
		if s.nights[i].wornAll() {
			settled++
		}
	}
	if !s.resting && s.settling && settled >= int(s.lim.Settle) {
		s.settling = false
	}
	if s.slow && !s.resting {
		for i := s.restFrom; i < d; i++ {
			if s.nights[i].comfortable() && s.nights[i].low >= s.restAt+1 {
				s.slow = false
			}
		}
	}
	here, good, hasGood := 0, 0, false
	from := max(s.arrived, since)
	if s.arrived < 0 && since > 0 {
		s.restarted = since
	}
	for i := max(from, 0); i < d; i++ {
		if n := &s.nights[i]; n.wornAll() && n.sure() && n.low == s.at {
			here++
		}
	}
	for i := range s.nights {
		if s.nights[i].comfortable() {
			good, hasGood = s.nights[i].low, true
		}
	}

	// the rows
	if s.holding {
		stay(3)
	}
	if last != nil && last.pain >= 8 || last != nil && last.woken == 1 && last.pain >= 5 {
		rows[4] = says{chart.LeaveOut, s.at}
		s.flag = true
	} else if last != nil && last.woken == 1 {
		stay(4)
		s.flag = true
	}
	if s.confirmed < d-1 {
		stay(5)
	}
	if s.high > s.advised {
		back(6, s.advised)
	}
	away := 0
	for i := max(d-7, s.acted, 0); i < d; i++ {
		if s.nights[i].bite > 60 {
			away++
		}
	}
	s.hit = false
	if last != nil && (last.pain >= 5 && last.pain <= 7 || last.pain > 7 || last.past() || last.notBack() || away >= 2) {
		s.sore(back, stay, func() { rows[7] = says{chart.LeaveOut, s.at} }, good, hasGood, last)
	}
	if last != nil && last.bite > 60 {
		stay(8)
		s.flag = true
	}
	if s.resting && !s.hit {
		stay(9)
	}
	if s.settling && !s.resting && settled < int(s.lim.Settle) {
		stay(10)
	}
	underway := !s.holding
	if s.lapsed = s.lapsed || underway && gap >= 14; s.lapsed {
		stay(11)
	} else if last != nil && (!last.wornAll() || !last.answered()) {
		stay(11)
	}
	if last != nil && (last.pain >= 1 && last.pain <= 4 && last.gone >= chart.GoneMidday || last.guide == 0 ||
		last.bite > 45 && last.bite <= 60) {
		stay(12)
	}
	quiet := func() bool {
		r := s.reports(d-14, s.at, s.at)
		if len(r) < 4 || total(r[:4]) > 4*target {
			return false
		}
		for _, x := range r[:4] {
			if x >= loud {
				return false
			}
		}
		for _, x := range s.reports(d-7, s.at, s.at) {
			if x >= loud {
				return false
			}
		}
		return true
	}()
	if !s.resting && !s.hit && !s.holding && quiet {
		stay(13)
	}
	s.gather(d, target, loud, func() { stay(14) })
	interval := int(s.lim.Interval)
	if s.slow || s.hit {
		interval *= 2
	}
	week := 0
	for i := max(d-6, 0); i < d; i++ {
		week += s.moves[i]
	}
	if (s.arrived >= 0 || s.restarted >= 0) && here < interval || (week+1)*s.step > 1000 {
		stay(15)
	}
	if next := s.at + 1; next > int(s.lim.Ceiling) || s.limit >= 0 && next > s.limit {
		stay(16)
	}
	if len(rows) == 0 {
		s.gain(func() { stay(17) })
	}
	if len(rows) == 0 {
		rows[18] = says{chart.Forward, s.at + 1}
	}
	for id := 1; id <= 18; id++ {
		r, ok := rows[id]
		if ok && (rule == 0 || r.do < do || r.do == do && do == chart.GoBack && r.to < to) {
			do, to, rule = r.do, r.to, id
		}
	}
	if do == chart.Stay && rows[13] != (says{}) && !s.hit {
		s.holding, s.settling = true, false
	}
	return do, to, rule
}
