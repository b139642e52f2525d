package pacing

import "duskdawn/flows/chart"

// morning draws what is told of a night, and tells it to the table and its text alike.
func (d *diary) morning(a sheetAdvice) {
	s, n, h := d.s, &d.s.n[d.n], d.habits
	if d.hit(h.silent) {
		return
	}
	d.wear(a, n)
	if n.worn == 1 && d.hit(h.heard) {
		n.snore = max(0, min(10, int(h.loud-h.fall*float64(s.at*s.p.step)/1000+d.NormFloat64()*1.2+0.5)))
		d.tell(chart.Reporter, chart.ReporterPartner)
		d.tell(chart.Snoring, n.snore)
		if d.hit(0.05) {
			d.tell(chart.Unusual, chart.No)
		}
	}
	if !d.hit(h.silent / 2) {
		d.pain(n)
	}
	if s.p.guide && !d.hit(h.silent/2) {
		used := chart.Yes
		if n.guide = 1; d.hit(h.trouble / 2) {
			n.guide, used = 0, chart.No
		}
		d.tell(chart.Guide, used)
	}
	if !d.hit(h.silent / 2) {
		if n.bite = pick(d.dice, 5, 10, 20, 30, 45); d.hit(h.trouble / 2) {
			n.bite = pick(d.dice, 46, 55, 60, 61, 90, 299, 300)
		}
		d.tell(chart.BiteMinutes, n.bite)
	}
	switch {
	case s.severe(n):
		s.raise("severe", 'S', true, true)
	case s.roused(n):
		s.raise("roused", 'N', false, true)
	}
	switch {
	case notBack(n):
		s.raise("bite.midday", 'N', false, true)
	case n.bite > 60:
		s.raise("bite", 'N', false, true)
	}
}

// wear is whether it was worn, and why not.
func (d *diary) wear(a sheetAdvice, n *sheetNight) {
	h := d.habits
	switch {
	case a.action == chart.LeaveOut:
		n.worn = 0
		d.tell(chart.Worn, chart.WornNo)
		d.tell(chart.NotWorn, chart.ReasonAdvised)
	case d.hit(0.06):
		n.worn = 0
		why := pick(d.dice, chart.ReasonForgot, chart.ReasonIll, chart.ReasonAway)
		if d.hit(h.trouble / 4) {
			n.reason, why = "pain", chart.ReasonPain
		}
		d.tell(chart.Worn, chart.WornNo)
		d.tell(chart.NotWorn, why)
	case d.hit(0.05):
		hours := 3 + d.IntN(3)
		if n.worn = 0; hours >= 4 {
			n.worn = 1
		}
		d.tell(chart.Worn, chart.WornPart)
		d.tell(chart.WornMinutes, hours*60)
		if d.hit(h.trouble) {
			n.reason = "pain"
			d.tell(chart.NotWorn, chart.ReasonPain)
		}
	default:
		n.worn = 1
		d.tell(chart.Worn, chart.WornAll)
	}
}

// pain is how much, whether it woke, and when it went.
func (d *diary) pain(n *sheetNight) {
	h := d.habits
	n.pain = pick(d.dice, 0, 0, 0, 0, 0, 0, 0, 1, 1, 2)
	if d.hit(h.trouble) {
		n.pain = pick(d.dice, 1, 2, 3, 4, 4, 5, 5, 6, 7, 8, 9)
	}
	d.tell(chart.Pain, n.pain)
	if n.pain == 0 {
		return
	}
	if !d.hit(h.silent / 2) {
		woke := chart.No
		if n.woke = 0; d.hit(h.trouble / 4) {
			n.woke, woke = 1, chart.Yes
		}
		d.tell(chart.Woken, woke)
	}
	if !d.hit(h.silent / 2) {
		gone := chart.GoneMorning
		if n.gone = 0; d.hit(h.trouble + 0.05) {
			n.gone = pick(d.dice, 0, 1, 1, 2, 3)
			gone = []int{chart.GoneMorning, chart.GoneMidday, chart.GoneAfternoon, chart.GoneNo}[n.gone]
		}
		d.tell(chart.Gone, gone)
	}
}
