package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/redflag"
)

// Confirm takes the patient's word for where the appliance stands on a night,
// in steps from fitting day; right is read of a two-sided appliance alone. It
// is the reply to that night's advice: a count outside last confirmed..advised
// is kept as said, and in doubt until it is said again.
func (c *Course) Confirm(f Facts, night civil.Date, left, right chart.Steps) []redflag.Raised {
	f.Whole()
	i := c.Reach(&f, night)
	if i < 0 {
		return nil
	}
	offset := f.offset()
	if !f.Appliance.TwoSided {
		right = left
	}
	left, right = min(max(left, -99), 999), min(max(right, -99), 999)
	e := &c.Nights[i]
	e.V[chart.SettingLeft] = chart.Num(int(left))
	if f.Appliance.TwoSided {
		e.V[chart.SettingRight] = chart.Num(int(right))
	}
	low, high := min(left, right-offset), max(left, right-offset)
	e.Low, e.High = low, high
	if night < c.SetOn {
		return nil // something newer is known: only the diary changes
	}
	base := c.before(night)
	from, to := min(base.Left, base.Advised), max(base.Left, base.Advised)
	if c.Advice.Night == night && c.Advice.Action != chart.NoAction { // a stay that matches the lower side
		from = min(from, c.Advice.To)
	}
	from = max(from, 0)
	outside := low < from || high > to
	if outside && low >= 0 && c.SetOn == night && c.Left == left && c.Right == right {
		outside = false // said twice: so it stands
	}
	s := base
	s.Left, s.Right, s.Low, s.High, s.SetOn, s.InDoubt = left, right, low, high, night, outside
	if outside {
		s.Low, s.High = min(base.Low, low), max(base.High, high)
		e.Low, e.High = s.Low, s.High
	}
	if c.EveOn >= night {
		s.Arrived = max(base.Arrived, c.RestFrom) // a rest that tonight's advice began counts from tonight
	}
	if left != base.Left {
		s.Arrived = night
	}
	c.put(night, s)
	if left > base.Left {
		c.StartHits = 0 // a forward step
	}
	if high > f.top() {
		return c.raiseRuled(&f, nil, "setting.above", night, night+2)
	}
	return nil
}

// before is what a confirmation for a night starts from: the position when that
// night's advice was worked out, with what that advice named.
func (c *Course) before(night civil.Date) Position {
	s := c.position()
	if c.EveOn >= night {
		s = c.Eve
		if c.EveOn == night {
			s.Advised = c.Advised
		}
	}
	return s
}

// put takes what was said for a night. Where a later night's advice was given
// already, that starts from it too, and may have been followed.
func (c *Course) put(night civil.Date, s Position) {
	if s.Arrived != c.Arrived {
		c.arrive(s.Arrived)
	}
	if c.EveOn > night {
		advised := c.Eve.Advised
		c.Eve = s
		c.Eve.Advised = advised
	}
	c.Left, c.Right, c.Low, c.High, c.SetOn, c.InDoubt = s.Left, s.Right, s.Low, s.High, s.SetOn, s.InDoubt
	if c.EveOn > night && (c.Advice.Action == chart.Forward || c.Advice.Action == chart.GoBack) {
		c.Low, c.High = min(c.Low, c.Advice.To), max(c.High, c.Advice.To)
	}
}

// unconfirm takes a confirmation back: it stands anywhere it may have stood before.
func (c *Course) unconfirm(night civil.Date) {
	e := &c.Nights[c.index(night)]
	if c.SetOn != night {
		return
	}
	if c.EveOn != night {
		c.InDoubt = true
		return
	}
	s, a := c.Eve, c.Advice.To
	c.Left, c.Right, c.SetOn, c.InDoubt = s.Left, s.Right, s.SetOn, s.InDoubt
	c.Low, c.High = min(s.Low, a, c.Low), max(s.High, a, c.High)
	if s.Arrived != c.Arrived {
		c.arrive(s.Arrived)
	}
	e.Low, e.High = c.Low, c.High
}

// LoseCount puts the count in doubt until the patient says where it stands.
func (c *Course) LoseCount() { c.InDoubt = true }
