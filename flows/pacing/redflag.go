package pacing

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

const (
	mostFlags  = 12 // open flags kept; the least urgent make room
	mostQuotes = 3  // of them with what was said
	QuoteRunes = 60
)

// Hear raises the flags of red-flag features in a text: the most urgent rows
// first, and a less urgent one only where it rests on something that no more
// urgent row has used. What was said again while open is not New. Nothing that
// is said lifts a flag.
func (c *Course) Hear(f Facts, at civil.Wall, features reading.Features, quote string) (out []redflag.Raised) {
	f.Whole()
	if features == 0 {
		return nil
	}
	night := f.Plan.Night(at)
	var used reading.Features
	for _, class := range [...]redflag.Class{redflag.ClassE, redflag.ClassS, redflag.ClassN, redflag.ClassR} {
		rows := redflag.Rows()
		for i := range rows {
			row := &rows[i]
			if row.ClassFor(f.Baseline) != class || row.WasSo(f.Baseline) {
				continue
			}
			if here := row.SaidBy(features); here&^used != 0 {
				out = c.raiseRow(&f, out, row, night, night, at, quote)
				used |= here
			}
		}
	}
	return out
}

// Raise raises a row of the flag table by its id, as the patient's own words
// would: what was asked about turned out to be so.
func (c *Course) Raise(f Facts, at civil.Wall, id string) []redflag.Raised {
	f.Whole()
	row := redflag.Find(id)
	if row == nil {
		return nil
	}
	night := f.Plan.Night(at)
	return c.raiseRow(&f, nil, row, night, night, at, "")
}

// raiseRuled raises a flag that a rule names, unless it is open already.
func (c *Course) raiseRuled(f *Facts, out []redflag.Raised, id string, night, from civil.Date) []redflag.Raised {
	row := redflag.Find(id)
	if row == nil || slices.ContainsFunc(c.Flags, func(o redflag.Flag) bool { return o.ID == id }) {
		return out
	}
	return c.raiseRow(f, out, row, night, from, civil.Wall{}, "")
}

func (c *Course) raiseRow(f *Facts, out []redflag.Raised, row *redflag.Row, night, from civil.Date, at civil.Wall,
	quote string) []redflag.Raised {
	class := row.ClassFor(f.Baseline)
	c.Idle = 0
	r := redflag.Raised{ID: row.ID, Class: class, Wear: row.Wear, Caution: row.Caution, New: true, Role: row.Role,
		Flag: true}
	if row.Sole && f.Plan.Fallback == "" {
		r.Wear = redflag.WearKeep
	}
	if row.Doubt {
		c.LoseCount()
	}
	if class == redflag.ClassR || row.Beside { // told, and left to the next visit or to a person: it holds nothing
		return append(out, r)
	}
	c.Flags = slices.Clone(c.Flags) // a copy of the course may share them
	for i := range c.Flags {
		o := &c.Flags[i]
		if o.ID != row.ID {
			continue
		}
		o.Times = min(o.Times, 9999) + 1
		o.From = min(o.From, from)
		if class.Worse(o.Class) {
			o.Class = class
		}
		r.Class, r.New = o.Class, false
		c.restate()
		return append(out, r)
	}
	flag := redflag.Flag{ID: row.ID, Class: class, Wear: r.Wear, Night: night, At: at, From: from, Times: 1,
		Quote: reading.Clip(quote, QuoteRunes)}
	flag.Resume = max(min(c.Left, c.releasable(f)), 0)
	c.Flags = append(c.Flags, flag)
	c.crop()
	c.restate()
	return append(out, r)
}

// crop keeps the flags few: the least urgent goes, what it says of wear stays.
func (c *Course) crop() {
	quotes := 0
	for i := len(c.Flags) - 1; i >= 0; i-- {
		if c.Flags[i].Quote != "" {
			if quotes++; quotes > mostQuotes {
				c.Flags[i].Quote = ""
			}
		}
	}
	if len(c.Flags) <= mostFlags {
		return
	}
	least := 0
	for i := range c.Flags {
		if c.Flags[least].Class.Worse(c.Flags[i].Class) {
			least = i
		}
	}
	gone := c.Flags[least]
	c.Flags = append(c.Flags[:least], c.Flags[least+1:]...)
	last := &c.Flags[len(c.Flags)-1]
	last.Wear = max(last.Wear, gone.Wear)
	last.From = min(last.From, gone.From)
	last.Resume = min(last.Resume, gone.Resume)
}

// releasable is the highest setting that a release may name: the last
// comfortable one, the start where there was none.
func (c *Course) releasable(f *Facts) chart.Steps {
	at, _, ok := c.lastGood(f)
	if !ok {
		return 0
	}
	return at
}
