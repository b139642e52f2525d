package pacing

import (
	"duskdawn/flows/chart"
)

// Facts is what the rules need besides the course. A nil Plan, Appliance or
// Baseline is one without anything signed or entered: nothing goes forward.
type Facts struct {
	Plan      *chart.Plan
	Appliance *chart.Appliance
	Baseline  *chart.Baseline
	Doubt     bool // the clock is in doubt, or a foreign program speaks with our token
	Restored  bool // the store was restored and the setting not confirmed, or not released by the owner, since
	Held      bool // the practice, or staff for this patient, hold every step
	Halted    bool // the owner has halted the rules: every advice is a stay, but for what an open flag leaves out
	Unheard   bool // this evening's questions were not answered: nothing goes forward
	Unread    bool // words of the patient that were neither understood, nor answered, wait for a person
}

// under is the same of the facts at hand.
func (f *Facts) under() (u chart.Under) {
	for _, x := range [...]struct {
		is  bool
		bit chart.Under
	}{{f.Unheard, chart.UnderUnheard}, {f.Held, chart.UnderHeld}, {f.Doubt, chart.UnderDoubt},
		{f.Restored, chart.UnderRestored}, {f.Halted, chart.UnderHalted}, {f.Unread, chart.UnderUnread}} {
		if x.is {
			u |= x.bit
		}
	}
	return u
}

// With gives the facts of an evening whose advice was given under u.
func (f Facts) With(u chart.Under) Facts {
	f.Unheard, f.Held, f.Doubt = u&chart.UnderUnheard != 0, u&chart.UnderHeld != 0, u&chart.UnderDoubt != 0
	f.Restored, f.Halted = u&chart.UnderRestored != 0, u&chart.UnderHalted != 0
	f.Unread = u&chart.UnderUnread != 0
	return f
}

// furthest is the setting said for a night, of the side that stands further
// forward.
func furthest(e *chart.Entry, f *Facts) chart.Steps {
	at := chart.Steps(e.V[chart.SettingLeft].N())
	if f.Appliance.TwoSided && e.V[chart.SettingRight].Known() {
		at = max(at, chart.Steps(e.V[chart.SettingRight].N())-f.Appliance.Offset)
	}
	return at
}
