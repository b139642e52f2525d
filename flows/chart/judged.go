package chart

// What one night's entry says, as the rules read it. Unknown stays unknown.

// The bounds of a comfortable morning.
const (
	MildPain   = 4  // mild 1-4, moderate 5-7, severe 8-10: doi 10.2147/JPR.S75192
	ModestPain = 7  //
	LateBite   = 45 // minutes; up to 45 is usual, over about an hour is not: practice sheets, common practice
	AwayBite   = 60 // minutes
	leastGuide = 2  // minutes of morning guide: common practice, no source
)

// Worn reports whether it was worn all night, or for at least the plan's
// minutes; known, whether that can be told.
func (e *Entry) Worn(least int16) (worn, known bool) {
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

// Pain is the night's worst pain; at or below the baseline it counts as 0.
func (e *Entry) Pain(b *Baseline) (n int, known bool) {
	v := e.V[Pain]
	if !v.Known() {
		return 0, false
	}
	if v.N() <= b.Pain.N() { // an unknown baseline is 0
		return 0, true
	}
	return v.N(), true
}

// Bite is how many minutes passed until both sides touched as before.
func (e *Entry) Bite() (minutes int, known bool) {
	switch {
	case e.V[BiteMinutes].Known():
		return e.V[BiteMinutes].N(), true
	case e.V[Bite].Is(BiteBoth):
		return 0, true
	}
	return 0, false
}

// Guided reports whether the morning bite guide was used long enough to count.
func (e *Entry) Guided() (used, known bool) {
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

// Lasted reports whether discomfort lasted past midday.
func (e *Entry) Lasted(b *Baseline) bool {
	n, known := e.Pain(b)
	return e.V[Gone].AtLeast(GoneAfternoon) && (n > 0 || !known)
}

// comfortable: worn, pain at most 4 and gone by noon, bite back within 45 minutes.
func (e *Entry) Comfortable(least int16, b *Baseline) bool {
	worn, _ := e.Worn(least)
	pain, painKnown := e.Pain(b)
	bite, biteKnown := e.Bite()
	gone := pain == 0 || e.V[Gone].Known() && e.V[Gone].N() <= GoneMidday
	return worn && painKnown && pain <= MildPain && gone && biteKnown && bite <= LateBite && !e.V[Woken].Is(Yes)
}

// easy: worn and answered, without pain.
func (e *Entry) Easy(least int16, b *Baseline) bool {
	worn, _ := e.Worn(least)
	pain, known := e.Pain(b)
	return worn && known && pain == 0 && !e.V[Woken].Is(Yes)
}

// Sore reports whether a morning by itself asks for a way back (P07): pain 5-7,
// discomfort past midday, taken out for pain, bite not back by midday.
func (e *Entry) Sore(b *Baseline) bool {
	pain, _ := e.Pain(b)
	bite, _ := e.Bite()
	return pain > MildPain && pain <= ModestPain || e.Lasted(b) || e.V[NotWorn].Is(ReasonPain) || bite >= BiteMidday
}

// Severe reports whether pain was 8-10 or woke the patient (P04). A high
// baseline does not soften it.
func (e *Entry) Severe() bool { return e.V[Pain].AtLeast(ModestPain+1) || e.V[Woken].Is(Yes) }

// Answered reports whether all that a morning needs is known (P11): worn, pain,
// when it went, bite, guide.
func (e *Entry) Answered(least int16, a *Appliance, b *Baseline) bool {
	worn, _ := e.Worn(least)
	pain, painKnown := e.Pain(b)
	_, biteKnown := e.Bite()
	_, guideKnown := e.Guided()
	return worn && painKnown && (pain == 0 || e.V[Gone].Known()) && biteKnown && (guideKnown || !a.Guide)
}

// Snored is the night's snoring score by a reporter.
func (e *Entry) Snored(by Answer) (n int, known bool) {
	if !by.Known() || e.V[Reporter] != by || !e.V[Snoring].Known() {
		return 0, false
	}
	return e.V[Snoring].N(), true
}

// NotBack reports whether the bite was not back by midday.
func (e *Entry) NotBack() bool {
	m, _ := e.Bite()
	return m >= BiteMidday
}
