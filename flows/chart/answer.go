package chart

// Answer is one answer: unknown, skipped, or a number. The zero Answer is
// unknown: silence is never a number, and never "fine".
type Answer int16

// The two values that are not numbers.
const (
	Unknown Answer = 0
	Skipped Answer = 1
)

// Num makes an Answer of a number, -32768 to 32765.
func Num(n int) Answer {
	if n < 0 {
		return Answer(n)
	}
	return Answer(n + 2)
}

// Known reports whether the value is a number.
func (v Answer) Known() bool { return v < 0 || v >= 2 }

// N returns the number; 0 where there is none, so ask Known first.
func (v Answer) N() int {
	switch {
	case v < 0:
		return int(v)
	case v >= 2:
		return int(v - 2)
	}
	return 0
}

// Is reports whether the value is known and equals n.
func (v Answer) Is(n int) bool { return v.Known() && v.N() == n }

// AtLeast reports whether the value is known and n or more.
func (v Answer) AtLeast(n int) bool { return v.Known() && v.N() >= n }

// Answers of the fields that are choices.
const (
	No  = 0
	Yes = 1

	WornNo   = 0
	WornPart = 1
	WornAll  = 2

	ReasonForgot   = 1 // did not think of it
	ReasonPain     = 2 // taken out, or left out, for pain
	ReasonDiscomf  = 3 // uncomfortable without pain
	ReasonIll      = 4 // cold, blocked nose, vomiting
	ReasonAway     = 5 // away from home, or away from the appliance
	ReasonBroken   = 6 // broken, lost or does not seat
	ReasonAdvised  = 7 // told to leave it out
	ReasonOther    = 8
	ReasonMorning  = 9  // out by the morning, not taken out knowingly
	ReasonNotKnown = 10 // does not remember
	ReasonOtherUse = 11 // used the other therapy instead

	ReporterPartner  = 1
	ReporterSelf     = 2
	ReporterRecorder = 3
	ReporterNobody   = 4

	SiteJoint  = 1
	SiteMuscle = 2
	SiteTooth  = 3
	SiteGum    = 4
	SiteOther  = 5

	GoneMorning   = 1 // the same morning
	GoneMidday    = 2 // by midday
	GoneAfternoon = 3 // after midday
	GoneNo        = 4 // still there

	BiteBoth   = 1
	BiteOne    = 2 // one side only
	BiteFront  = 3 // only the front teeth
	BiteUnsure = 4

	// BiteNot stands in BiteMinutes for "not back by the evening".
	BiteNot = 1440
	// BiteMidday is how many minutes after waking count as midday where no
	// clock time was given: waking at 7 (common practice, no source).
	BiteMidday = 300

	DrivingNo      = 0
	DrivingNearly  = 1
	DrivingYes     = 2
	DrivingNoDrive = 3 // did not drive

	UsualNight   = 0
	UnusualDrink = 1 // alcohol or a sedative
	UnusualCold  = 2
	UnusualBack  = 3 // slept on the back
	UnusualOther = 4

	NewNothing   = 0
	NewDental    = 1 // a crown, an extraction, a denture, orthodontics
	NewTablets   = 2
	NewPregnancy = 3
	NewWeight    = 4 // much more, or much less

	DaysOne  = 1
	DaysTwo  = 2
	DaysMore = 3 // three or more
)
