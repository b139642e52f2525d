package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/redflag"
)

// Answer records or corrects one answer of a night. Thresholds raise flags at
// once. An Unknown takes an answer back; it lifts nothing that was raised.
// Values outside a field's scale, and nights no longer remembered, change nothing.
func (c *Course) Answer(f Facts, night civil.Date, field chart.Field, v chart.Answer, _ chart.Source) []redflag.Raised {
	f.Whole()
	if field == chart.NoField || field >= chart.NumFields || !field.Takes(v) {
		return nil
	}
	i := c.Reach(&f, night)
	if i < 0 {
		return nil
	}
	e := &c.Nights[i]
	old := e.V[field]
	if old == v {
		return nil
	}
	e.V[field] = v
	if c.Advice.Night > night {
		e.Late |= 1 << field
	}
	if field.Row().Kind == chart.Setting {
		return c.say(f, night, e)
	}
	return c.cross(&f, e, field, old, v)
}

// say takes a typed setting: confirmed once all sides are known, taken back
// when one of them is.
func (c *Course) say(f Facts, night civil.Date, e *chart.Entry) []redflag.Raised {
	left, right := e.V[chart.SettingLeft], e.V[chart.SettingRight]
	if !f.Appliance.TwoSided {
		right = left
	}
	if left.Known() && right.Known() {
		return c.Confirm(f, night, chart.Steps(left.N()), chart.Steps(right.N()))
	}
	c.unsay(night)
	return nil
}

// cross raises the flags whose threshold an answer has newly crossed.
func (c *Course) cross(f *Facts, e *chart.Entry, field chart.Field, old, v chart.Answer) (out []redflag.Raised) {
	b := f.Baseline
	least := func(n int) bool { return v.AtLeast(n) && !old.AtLeast(n) }
	is := func(n int) bool { return v.Is(n) && !old.Is(n) }
	now, next := e.Night, e.Night+2 // a row's own flag counts from the evening after the row spoke
	switch field {
	case chart.Pain:
		if least(chart.ModestPain + 1) {
			out = c.raise(f, out, "pain.severe", e.Night, next)
		}
	case chart.Woken:
		if is(chart.Yes) {
			out = c.raise(f, out, "pain.woken", e.Night, next)
		}
	case chart.BiteMinutes:
		switch {
		case least(chart.BiteMidday):
			out = c.raise(f, out, "bite.notback", e.Night, next)
		case least(chart.AwayBite + 1):
			out = c.raise(f, out, "bite.late", e.Night, next)
		}
	case chart.NotWorn:
		if is(chart.ReasonBroken) {
			out = c.raise(f, out, "appliance.seat", e.Night, now)
		}
	case chart.Sleepiness:
		if b.Sleepy.Known() && least(b.Sleepy.N()+SleepierBy) {
			out = c.raise(f, out, "sleepy", e.Night, now)
		}
	case chart.Pauses:
		if is(chart.Yes) && !b.Pauses.Is(chart.Yes) {
			out = c.raise(f, out, "pauses", e.Night, now)
		}
	case chart.Headache:
		if is(chart.Yes) && !b.Headache.Is(chart.Yes) {
			out = c.raise(f, out, "headache.morning", e.Night, now)
		}
	case chart.Driving:
		if is(chart.DrivingYes) {
			out = c.raise(f, out, "driving.asleep", e.Night, now)
		}
		if is(chart.DrivingNearly) {
			out = c.raise(f, out, "driving.nearly", e.Night, now)
		}
	}
	return out
}

// SleepierBy is how far above the plan's baseline sleepiness is worth a
// person's look: design of this table, common practice, no source.
const SleepierBy = 2
