package flows

// Answer records or corrects one answer of a night. Thresholds raise flags at
// once. An Unknown takes an answer back; it lifts nothing that was raised.
// Values outside a field's scale, and nights no longer remembered, change nothing.
func (c *Course) Answer(f Facts, night Date, field Field, v Value, _ Source) []Raised {
	f.whole()
	if field == NoField || field >= NumFields || !inScale(field, v) {
		return nil
	}
	i := c.reach(&f, night)
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
	switch field {
	case SettingLeft, SettingRight:
		return c.say(f, night, e)
	}
	return c.cross(&f, e, field, old, v)
}

// inScale tells whether a value can be an answer of a field.
func inScale(field Field, v Value) bool {
	if !v.Known() {
		return true
	}
	n, most := v.N(), 0
	switch field {
	case Worn:
		most = WornAll
	case WornMinutes, BiteMinutes:
		most = 1440
	case GuideMinutes:
		most = 1440
	case NotWorn:
		return n >= 1 && n <= ReasonNotKnown
	case Snoring, Pain, Sleepiness:
		most = 10
	case Reporter, Gone, Bite:
		return n >= 1 && n <= 4
	case Where:
		return n >= 1 && n <= SiteOther
	case Woken, Guide, Nose, Pauses, Headache, Wrong:
		most = Yes
	case Driving:
		most = DrivingNoDrive
	case SettingLeft, SettingRight:
		return n >= -99 && n <= 999
	}
	return n >= 0 && n <= most
}

// say takes a typed setting: confirmed once all sides are known, taken back
// when one of them is.
func (c *Course) say(f Facts, night Date, e *Entry) []Raised {
	left, right := e.V[SettingLeft], e.V[SettingRight]
	if !f.Appliance.TwoSided {
		right = left
	}
	if left.Known() && right.Known() {
		return c.Confirm(f, night, Steps(left.N()), Steps(right.N()))
	}
	c.unsay(night)
	return nil
}

// cross raises the flags whose threshold an answer has newly crossed.
func (c *Course) cross(f *Facts, e *Entry, field Field, old, v Value) (out []Raised) {
	b := f.Baseline
	least := func(n int) bool { return v.AtLeast(n) && !old.AtLeast(n) }
	is := func(n int) bool { return v.Is(n) && !old.Is(n) }
	now, next := e.Night, e.Night+2 // a row's own flag counts from the evening after the row spoke
	switch field {
	case Pain:
		if least(modestPain + 1) {
			out = c.raise(f, out, "pain.severe", e.Night, next)
		}
	case Woken:
		if is(Yes) {
			out = c.raise(f, out, "pain.woken", e.Night, next)
		}
	case BiteMinutes:
		switch {
		case least(BiteMidday):
			out = c.raise(f, out, "bite.notback", e.Night, next)
		case least(awayBite + 1):
			out = c.raise(f, out, "bite.late", e.Night, next)
		}
	case NotWorn:
		if is(ReasonBroken) {
			out = c.raise(f, out, "appliance.seat", e.Night, now)
		}
	case Sleepiness:
		if b.Sleepy.Known() && least(b.Sleepy.N()+sleepierBy) {
			out = c.raise(f, out, "sleepy", e.Night, now)
		}
	case Pauses:
		if is(Yes) && !b.Pauses.Is(Yes) {
			out = c.raise(f, out, "pauses", e.Night, now)
		}
	case Headache:
		if is(Yes) && !b.Headache.Is(Yes) {
			out = c.raise(f, out, "headache.morning", e.Night, now)
		}
	case Driving:
		if is(DrivingYes) {
			out = c.raise(f, out, "driving.asleep", e.Night, now)
		}
		if is(DrivingNearly) {
			out = c.raise(f, out, "driving.nearly", e.Night, now)
		}
	}
	return out
}

// sleepierBy is how far above the plan's baseline sleepiness is worth a
// person's look: design of this table, common practice, no source.
const sleepierBy = 2
