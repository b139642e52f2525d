package flows

import "slices"

const (
	mostFlags  = 12 // open flags kept; the least urgent make room
	mostQuotes = 3  // of them with what was said
	quoteRunes = 60
)

// Hear raises the flags of red-flag features in a text: the most urgent rows
// first, and a less urgent one only where it rests on something that no more
// urgent row has used. What was said again while open is not New. Nothing that
// is said lifts a flag.
func (c *Course) Hear(f Facts, at Wall, features Features, quote string) (out []Raised) {
	f.whole()
	if features == 0 {
		return nil
	}
	night := f.Plan.Night(at)
	var used Features
	for _, class := range [...]Class{ClassE, ClassS, ClassN, ClassR} {
		for i := range flagTable {
			row := &flagTable[i]
			if row.class(f.Baseline) != class || row.known(f.Baseline) {
				continue
			}
			if here := row.said(features); here&^used != 0 {
				out = c.raiseRow(&f, out, row, night, night, at, quote)
				used |= here
			}
		}
	}
	return out
}

// raise raises a flag of an answer.
func (c *Course) raise(f *Facts, out []Raised, id string, night, from Date) []Raised {
	if row := flagRow(id); row != nil {
		return c.raiseRow(f, out, row, night, from, Wall{}, "")
	}
	return out
}

// own raises a rule's own flag, unless it is open already.
func (c *Course) own(v *view, id string, from Date, out []Raised) []Raised {
	for i := range c.Flags {
		if c.Flags[i].ID == id {
			return out
		}
	}
	return c.raise(v.f, out, id, v.night, from)
}

func (c *Course) raiseRow(f *Facts, out []Raised, row *Row, night, from Date, at Wall, quote string) []Raised {
	class := row.class(f.Baseline)
	r := Raised{ID: row.ID, Class: class, Wear: row.Wear, Caution: row.Caution, New: true, Role: row.Role, Flag: true}
	if class == ClassR { // told, and left to the next visit: it holds nothing
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
		c.show()
		return append(out, r)
	}
	flag := Flag{ID: row.ID, Class: class, Wear: row.Wear, Night: night, At: at, From: from, Times: 1, Quote: clip(quote, quoteRunes)}
	flag.Resume = max(min(c.Left, c.releasable(f)), 0)
	c.Flags = append(c.Flags, flag)
	c.crop()
	c.show()
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
func (c *Course) releasable(f *Facts) Steps {
	at, _, ok := c.lastGood(f)
	if !ok {
		return 0
	}
	return at
}
