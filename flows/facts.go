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

// Facts gathers what the rules need at an event.
func (p *Patient) Facts(pr *Practice, e *Event) Facts {
	return Facts{
		Plan: &p.Plan, Appliance: &p.Appliance, Baseline: &p.Baseline,
		Doubt:    e.Doubt || pr.Rival,
		Restored: p.Epoch != pr.Epoch || pr.Released != pr.Epoch,
		Held:     pr.Held || p.Held,
	}
}
