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
	switch {
	case field.Row().Kind == chart.Setting:
		return c.typed(f, night, e)
	case field == chart.Unusual:
		c.setAside(i)
	}
	return c.threshold(&f, e, field, old)
}

// threshold raises the flags whose threshold an answer has newly crossed.
func (c *Course) threshold(f *Facts, e *chart.Entry, field chart.Field, old chart.Answer) (out []redflag.Raised) {
	for _, row := range redflag.ByAnswer(field) {
		if row.Crossed(e, field, old, f.Baseline) && (!row.Weekly || c.weekBefore(e.Night, row)) {
			out = c.raiseRow(f, out, row, e.Night, firstEvening(row, e.Night), civil.Wall{}, "")
		}
	}
	return out
}

// weekBefore reports whether the weekly answer before a night's would have raised
// the row as well.
func (c *Course) weekBefore(night civil.Date, row *redflag.Row) bool {
	for n := night - weeklyEvery - weeklySlack; n <= night-weeklyEvery+weeklySlack; n++ {
		if i := c.index(n); i >= 0 && row.Reached(c.Nights[i].V[row.Field], nil) {
			return true
		}
	}
	return false
}

// setAside takes an unusual night out of the reports, unless any seven nights would
// then have more than MostAside of them: what happens most nights is not unusual.
func (c *Course) setAside(i int) {
	e := &c.Nights[i]
	e.Asked &^= chart.SetAside
	if !e.V[chart.Unusual].AtLeast(chart.UsualNight + 1) {
		return
	}
	for first := max(i-WeekNights+1, 0); first <= i; first++ {
		n := 0
		for k := first; k < min(first+WeekNights, int(c.N)); k++ {
			if c.Nights[k].Aside() {
				n++
			}
		}
		if n >= MostAside {
			return
		}
	}
	e.Asked |= chart.SetAside
}

// firstEvening is the first evening on which P02 counts a flag that an answer
// of a night raised. Where a rule speaks of it, on the next evening, it is the
// one after.
func firstEvening(row *redflag.Row, night civil.Date) civil.Date {
	if row.Ruled {
		return night + 2
	}
	return night
}

// typed takes a typed setting: confirmed once all sides are known, taken back
// when one of them is.
func (c *Course) typed(f Facts, night civil.Date, e *chart.Entry) []redflag.Raised {
	left, right := e.V[chart.SettingLeft], e.V[chart.SettingRight]
	if !f.Appliance.TwoSided {
		right = left
	}
	if left.Known() && right.Known() {
		return c.Confirm(f, night, chart.Steps(left.N()), chart.Steps(right.N()))
	}
	c.unconfirm(night)
	return nil
}
