package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// wornDefault is 4 hours, the payer rule beside the clinical one: doi 10.15331/jdsm.7204.
const wornDefault = 240

// index is a night's place in Nights; -1 where it is not remembered.
func (c *Course) index(night civil.Date) int {
	if c.N == 0 {
		return -1
	}
	newest := c.Nights[c.N-1].Night
	if night > newest || night <= newest-civil.Date(c.N) {
		return -1
	}
	return int(c.N) - 1 - int(newest-night)
}

// Entry returns what is known of a night; false where it is not remembered.
func (c *Course) Entry(night civil.Date) (chart.Entry, bool) {
	if i := c.index(night); i >= 0 {
		return c.Nights[i], true
	}
	return chart.Entry{}, false
}

// Reach makes sure that a night has its entry, with one for every calendar
// night before it, and returns its place; -1 for one that is too long ago.
func (c *Course) Reach(f *Facts, night civil.Date) int {
	if c.N == 0 {
		c.Nights[0] = chart.Entry{Night: night, Low: c.Low, High: c.High}
		c.N = 1
		if c.Began == 0 {
			c.Began = night
		}
		return 0
	}
	if first := c.Nights[0].Night; night == first-1 && c.Began == first && int(c.N) < len(c.Nights) {
		// what is said on the day of fitting is of the day before the first night
		copy(c.Nights[1:], c.Nights[:c.N])
		c.Nights[0] = chart.Entry{Night: night, Low: c.Low, High: c.High}
		c.N++
		c.Began = night
		return 0
	}
	newest := c.Nights[c.N-1].Night
	if night-newest > civil.Date(len(c.Nights)) { // everything remembered leaves the window: fold it, then jump
		for i := range int(c.N) {
			c.fold(f, &c.Nights[i])
		}
		c.FoldUnrun, c.FoldWorn, c.FoldSet = 255, 0, 0
		c.N = 0
		newest = night - civil.Date(len(c.Nights))
	}
	for newest < night {
		newest++
		if int(c.N) == len(c.Nights) {
			c.fold(f, &c.Nights[0])
			copy(c.Nights[:], c.Nights[1:])
			c.N--
		}
		c.Nights[c.N] = chart.Entry{Night: newest, Low: c.Low, High: c.High}
		c.N++
	}
	return c.index(night)
}

// fold keeps what the rules need of a night that is remembered no longer.
func (c *Course) fold(f *Facts, e *chart.Entry) {
	least := f.least()
	if e.LeftOut() {
		return
	}
	worn, _ := e.Worn(least)
	if !worn {
		c.FoldUnrun = min(c.FoldUnrun, 254) + 1
		if c.FoldUnrun >= GapNights {
			c.FoldWorn, c.FoldSet = 0, 0
			if c.Arrived == 0 { // at the fitting setting the interval counts from the gap on
				c.Arrived, c.Eve.Arrived = e.Night, e.Night
			}
		}
		return
	}
	c.FoldUnrun = 0
	if c.Arrived != 0 && e.Night >= c.Arrived && e.Surely() && e.Low == c.Left {
		c.FoldWorn = min(c.FoldWorn, 254) + 1
	}
	if e.Night >= c.SettleFrom {
		c.FoldSet = min(c.FoldSet, 254) + 1
	}
	c.plot(f, e, &c.Snore, &c.Sleepy)
	if e.Comfortable(least, f.Baseline) {
		c.Good, c.GoodOn = e.Low, e.Night
	}
	if n, ok := e.Usable(e.V[chart.Reporter], least); ok {
		c.keepScore(e.Low, e.V[chart.Reporter], n)
	}
}

// lastGood is the setting of the last comfortable night.
func (c *Course) lastGood(f *Facts) (at chart.Steps, night civil.Date, ok bool) {
	for i := int(c.N) - 1; i >= 0; i-- {
		if e := &c.Nights[i]; e.Comfortable(f.least(), f.Baseline) {
			return e.Low, e.Night, true
		}
	}
	return c.Good, c.GoodOn, c.GoodOn != 0
}

// Reports counts the usable snoring reports at this setting among the nights remembered.
func (c *Course) Reports(f Facts) (n int) {
	f.Whole()
	for i := range int(c.N) {
		if e := &c.Nights[i]; e.Low == c.Left {
			if _, ok := e.Usable(f.Baseline.Reporter, f.least()); ok {
				n++
			}
		}
	}
	return n
}

// Whole replaces what is missing in the facts by what says nothing.
func (f *Facts) Whole() {
	if f.Plan == nil {
		f.Plan = new(chart.Plan)
	}
	if f.Appliance == nil {
		f.Appliance = new(chart.Appliance)
	}
	if f.Baseline == nil {
		f.Baseline = new(chart.Baseline)
	}
}

// top is the highest setting the signed ceiling and the mechanism's travel allow.
func (f *Facts) top() chart.Steps {
	return max(min(f.Plan.Limits.Ceiling, f.Appliance.Travel-max(f.offset(), 0)), 0)
}

// offset is right minus left as signed.
func (f *Facts) offset() chart.Steps {
	if f.Appliance.TwoSided {
		return f.Appliance.Offset
	}
	return 0
}

// least is how many minutes make a worn night.
func (f *Facts) least() int16 {
	if m := f.Plan.Limits.WornMinutes; m > 0 {
		return m
	}
	return wornDefault
}

// AllTold reports whether the newest n nights that are over, or as many as there are, were
// all told, worn and whole, one after the other: nothing that P11 counts is among them. A
// night that was advised last may still be to come.
func (c *Course) AllTold(plan *chart.Plan, a *chart.Appliance, b *chart.Baseline, n int) bool {
	f, end := Facts{Plan: plan, Appliance: a, Baseline: b}, int(c.N)
	if end > 0 && c.Nights[end-1].Night == c.Advice.Night && !c.Nights[end-1].V[chart.Worn].Known() {
		end--
	}
	from := max(end-n, 0)
	for i := from; i < end; i++ {
		e := &c.Nights[i]
		if e.LeftOut() || e.V[chart.Wrong].Is(chart.Yes) || i > from && e.Night != c.Nights[i-1].Night+1 || !e.Answered(f.least(), a, b) {
			return false
		}
	}
	return end > from && !c.Lapsed
}
