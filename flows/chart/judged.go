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

// WornSome reports whether it was said to be worn for any part of the night.
func (e *Entry) WornSome() bool {
	return e.V[Worn].Is(WornAll) || e.V[Worn].Is(WornPart) || e.V[WornMinutes].AtLeast(1)
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

// LeftOut reports whether the night's advice was to leave it out: whatever is told
// of such a night, nothing counts by it.
func (e *Entry) LeftOut() bool { return e.Action == LeaveOut }

// Surely reports whether it stood at one setting that is known.
func (e *Entry) Surely() bool { return e.Low == e.High }

// Comfortable reports whether it was worn, surely at one setting, pain at most 4
// and gone by noon, the bite back within 45 minutes, and nobody woken by pain.
func (e *Entry) Comfortable(least int16, b *Baseline) bool {
	worn, _ := e.Worn(least)
	worn = worn && e.Surely() && !e.LeftOut()
	pain, painKnown := e.Pain(b)
	bite, biteKnown := e.Bite()
	gone := pain == 0 || e.V[Gone].Known() && e.V[Gone].N() <= GoneMidday
	return worn && painKnown && pain <= MildPain && gone && biteKnown && bite <= LateBite && !e.V[Woken].Is(Yes)
}

// Easy reports whether a morning of a rest was easy (P09): all answered that a
// morning needs, pain at most a score and gone the same morning, the bite back
// within 60 minutes, surely at one setting, said that evening, and nobody woken.
func (e *Entry) Easy(least int16, a *Appliance, b *Baseline, most int) bool {
	pain, _ := e.Pain(b)
	bite, _ := e.Bite()
	return !e.LeftOut() && e.Answered(least, a, b) && pain <= most && (pain == 0 || e.V[Gone].Is(GoneMorning)) &&
		bite <= AwayBite && e.Surely() && e.V[SettingLeft].Known() && !e.V[Woken].Is(Yes) && !e.Sore(b) && !e.Severe()
}

// Sore reports whether a morning by itself asks for a way back (P07): pain 5-7,
// discomfort past midday, taken out for pain, bite not back by midday.
func (e *Entry) Sore(b *Baseline) bool {
	pain, _ := e.Pain(b)
	bite, _ := e.Bite()
	return pain > MildPain && pain <= ModestPain || e.Lasted(b) || e.V[NotWorn].Is(ReasonPain) || bite >= BiteMidday
}

// Severe reports whether pain was 8-10, or woke the patient at 5 or more (P04). A
// high baseline does not soften it; who was woken and gave no score counts as 5.
func (e *Entry) Severe() bool {
	return e.V[Pain].AtLeast(ModestPain+1) || e.V[Woken].Is(Yes) && (!e.V[Pain].Known() || e.V[Pain].AtLeast(MildPain+1))
}

// Roused reports whether pain of 4 or less woke the patient.
func (e *Entry) Roused() bool { return e.V[Woken].Is(Yes) && !e.Severe() }

// Answered reports whether all that a morning needs is known (P11): worn, pain,
// whether it woke and when it went, bite, guide.
func (e *Entry) Answered(least int16, a *Appliance, b *Baseline) bool {
	worn, _ := e.Worn(least)
	pain, painKnown := e.Pain(b)
	_, biteKnown := e.Bite()
	_, guideKnown := e.Guided()
	return worn && painKnown && (pain == 0 || e.V[Gone].Known() && e.V[Woken].Known()) && biteKnown && (guideKnown || !a.Guide)
}

// Snored is the night's snoring score by a reporter.
func (e *Entry) Snored(by Answer) (n int, known bool) {
	if !by.Known() || e.V[Reporter] != by || !e.V[Snoring].Known() {
		return 0, false
	}
	return e.V[Snoring].N(), true
}

// Aside reports whether the night is an unusual one that no report is taken of.
func (e *Entry) Aside() bool { return e.Asked&SetAside != 0 }

// Usable is the night's snoring score where a rule may go by it: by the plan's
// reporter, of a worn night that stood surely at one setting, was not left out and
// was not set aside as unusual.
func (e *Entry) Usable(by Answer, least int16) (n int, ok bool) {
	n, ok = e.Snored(by)
	worn, _ := e.Worn(least)
	return n, ok && worn && e.Surely() && !e.LeftOut() && !e.Aside()
}

// NotBack reports whether the bite was not back by midday.
func (e *Entry) NotBack() bool {
	m, _ := e.Bite()
	return m >= BiteMidday
}
