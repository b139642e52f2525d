package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/redflag"
)

// Confirm takes the patient's word for where the appliance stands on a night,
// in steps from fitting day; right is read of a two-sided appliance alone. It
// is the reply to that night's advice: a count outside last confirmed..advised
// is in doubt and confirms nothing, until it is said again the evening after.
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
	if low >= 0 && high <= to && right-left != offset {
		outside = false // two sides that differ are to be matched, at the lower
	}
	if outside && low >= 0 && base.InDoubt && c.said(night-1, left, right, &f) {
		outside = false // said on two evenings running: so it stands
	}
	s := base
	if outside {
		s.Low, s.High, s.InDoubt = min(base.Low, low, from), max(base.High, high, to), true
		e.Low, e.High = s.Low, s.High
	} else {
		s.Left, s.Right, s.Low, s.High, s.SetOn, s.InDoubt = left, right, low, high, night, false
	}
	if c.EveOn >= night {
		s.Arrived = max(base.Arrived, c.RestFrom) // a rest that tonight's advice began counts from tonight
	}
	if s.Left != base.Left || s.Right != base.Right {
		s.Arrived, c.Idle = night, 0
	}
	c.put(night, s)
	if s.Left > base.Left && s.Left <= base.Advised { // a forward step, as it was advised
		c.StartHits, c.RestHits = 0, 0
	}
	if high > f.top() {
		return c.raiseRuled(&f, nil, "setting.above", night, night+2)
	}
	return nil
}

// HearSide takes the patient's word for one side of two while the other is not
// known: nothing is confirmed by it, yet what cannot be puts the count in doubt at
// once, and above ceiling and travel it raises the flag, as for both.
func (c *Course) HearSide(f Facts, night civil.Date, side chart.Field, at chart.Steps) []redflag.Raised {
	f.Whole()
	i := c.Reach(&f, night)
	if i < 0 || night < c.SetOn {
		return nil
	}
	at = min(max(at, -99), 999)
	if side == chart.SettingRight {
		at -= f.offset()
	}
	s := c.before(night)
	if to := max(s.Left, s.Advised); at >= 0 && at <= to {
		return nil
	}
	s.Low, s.High, s.InDoubt = min(s.Low, at), max(s.High, at), true
	e := &c.Nights[i]
	e.Low, e.High = s.Low, s.High
	c.put(night, s)
	if at > f.top() {
		return c.raiseRuled(&f, nil, "setting.above", night, night+2)
	}
	return nil
}

// said reports whether both sides were said to stand at these settings on a night.
func (c *Course) said(night civil.Date, left, right chart.Steps, f *Facts) bool {
	i := c.index(night)
	return i >= 0 && c.Nights[i].V[chart.SettingLeft].Is(int(left)) &&
		(!f.Appliance.TwoSided || c.Nights[i].V[chart.SettingRight].Is(int(right)))
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
	c.Left, c.Right, c.SetOn = s.Left, s.Right, min(s.SetOn, night-1) // nor does a word count of before the advice
	c.InDoubt = c.InDoubt || s.InDoubt                                // a count lost since stays lost
	c.Low, c.High = min(s.Low, a, c.Low), max(s.High, a, c.High)
	if s.Arrived != c.Arrived {
		c.arrive(s.Arrived)
	}
	e.Low, e.High = c.Low, c.High
}

// LoseCount puts the count in doubt until the patient says where it stands. An advice
// that was told already is worked out anew under that doubt.
func (c *Course) LoseCount() { c.InDoubt, c.Eve.InDoubt = true, true }
