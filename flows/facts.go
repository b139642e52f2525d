package flows

// Facts is what the rules need besides the course. A nil Plan, Appliance or
// Baseline is one without anything signed or entered: nothing goes forward.
type Facts struct {
	Plan      *Plan
	Appliance *Appliance
	Baseline  *Baseline
	Doubt     bool // the clock is in doubt, or a foreign program speaks with our token
	Restored  bool // the store was restored and the setting not confirmed, or not released by the owner, since
	Held      bool // the practice, or staff for this patient, hold every step
	Unheard   bool // this evening's questions were not answered: nothing goes forward
}

// under is the same of the facts at hand.
func (f *Facts) under() (u Under) {
	for _, x := range [...]struct {
		is  bool
		bit Under
	}{{f.Unheard, UnderUnheard}, {f.Held, UnderHeld}, {f.Doubt, UnderDoubt}, {f.Restored, UnderRestored}} {
		if x.is {
			u |= x.bit
		}
	}
	return u
}

// With gives the facts of an evening whose advice was given under u.
func (f Facts) With(u Under) Facts {
	f.Unheard, f.Held, f.Doubt, f.Restored = u&UnderUnheard != 0, u&UnderHeld != 0, u&UnderDoubt != 0, u&UnderRestored != 0
	return f
}

// furthest is the setting said for a night, of the side that stands further
// forward.
func furthest(e *Entry, f *Facts) Steps {
	at := Steps(e.V[SettingLeft].N())
	if f.Appliance.TwoSided && e.V[SettingRight].Known() {
		at = max(at, Steps(e.V[SettingRight].N())-f.Appliance.Offset)
	}
	return at
}
