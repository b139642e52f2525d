package flows

// What one night's entry says, as the rules read it. Unknown stays unknown.

// The bounds of a comfortable morning.
const (
	mildPain   = 4  // mild 1-4, moderate 5-7, severe 8-10: doi 10.2147/JPR.S75192
	modestPain = 7  //
	lateBite   = 45 // minutes; up to 45 is usual, over about an hour is not: practice sheets, common practice
	awayBite   = 60 // minutes
	leastGuide = 2  // minutes of morning guide: common practice, no source
)

// worn tells whether it was worn all night, or for at least the plan's
// minutes; known, whether that can be told.
func (e *Entry) worn(least int16) (worn, known bool) {
	w, m := e.V[Worn], e.V[WornMinutes]
	switch {
	case w.Is(WornAll):
		return true, true
	case w.Is(WornNo):
		return false, true
	case m.Known():
		return m.N() >= int(least), true
	}
	return false, false
}

// pain is the night's worst pain; at or below the baseline it counts as 0.
func (e *Entry) pain(b *Baseline) (n int, known bool) {
	v := e.V[Pain]
	if !v.Known() {
		return 0, false
	}
	if v.N() <= b.Pain.N() { // an unknown baseline is 0
		return 0, true
	}
	return v.N(), true
}

// bite is how many minutes passed until both sides touched as before.
func (e *Entry) bite() (minutes int, known bool) {
	switch {
	case e.V[BiteMinutes].Known():
		return e.V[BiteMinutes].N(), true
	case e.V[Bite].Is(BiteBoth):
		return 0, true
	}
	return 0, false
}

// guided tells whether the morning bite guide was used long enough to count.
func (e *Entry) guided() (used, known bool) {
	if m := e.V[GuideMinutes]; m.Known() && m.N() < leastGuide {
		return false, true
	}
	switch {
	case e.V[Guide].Known():
		return e.V[Guide].Is(Yes), true
	case e.V[GuideMinutes].Known():
		return true, true
	}
	return false, false
}

// lasted tells whether discomfort lasted past midday.
func (e *Entry) lasted(b *Baseline) bool {
	n, known := e.pain(b)
	return e.V[Gone].AtLeast(GoneAfternoon) && (n > 0 || !known)
}

// comfortable: worn, pain at most 4 and gone by noon, bite back within 45 minutes.
func (e *Entry) comfortable(least int16, b *Baseline) bool {
	worn, _ := e.worn(least)
	pain, painKnown := e.pain(b)
	bite, biteKnown := e.bite()
	gone := pain == 0 || e.V[Gone].Known() && e.V[Gone].N() <= GoneMidday
	return worn && painKnown && pain <= mildPain && gone && biteKnown && bite <= lateBite && !e.V[Woken].Is(Yes)
}

// easy: worn and answered, without pain.
func (e *Entry) easy(least int16, b *Baseline) bool {
	worn, _ := e.worn(least)
	pain, known := e.pain(b)
	return worn && known && pain == 0 && !e.V[Woken].Is(Yes)
}

// sore tells whether a morning by itself asks for a way back (P07): pain 5-7,
// discomfort past midday, taken out for pain, bite not back by midday.
func (e *Entry) sore(b *Baseline) bool {
	pain, _ := e.pain(b)
	bite, _ := e.bite()
	return pain > mildPain && pain <= modestPain || e.lasted(b) || e.V[NotWorn].Is(ReasonPain) || bite >= BiteMidday
}

// severe tells whether pain was 8-10 or woke the patient (P04). A high
// baseline does not soften it.
func (e *Entry) severe() bool { return e.V[Pain].AtLeast(modestPain+1) || e.V[Woken].Is(Yes) }

// answered tells whether all that a morning needs is known (P11): worn, pain,
// when it went, bite, guide.
func (e *Entry) answered(least int16, a *Appliance, b *Baseline) bool {
	worn, _ := e.worn(least)
	pain, painKnown := e.pain(b)
	_, biteKnown := e.bite()
	_, guideKnown := e.guided()
	return worn && painKnown && (pain == 0 || e.V[Gone].Known()) && biteKnown && (guideKnown || !a.Guide)
}

// snored is the night's snoring score by a reporter.
func (e *Entry) snored(by Value) (n int, known bool) {
	if !by.Known() || e.V[Reporter] != by || !e.V[Snoring].Known() {
		return 0, false
	}
	return e.V[Snoring].N(), true
}

// notBack tells whether the bite was not back by midday.
func (e *Entry) notBack() bool {
	m, _ := e.bite()
	return m >= BiteMidday
}
