package chart

// Enrolment is everything a clinician enters at the chair, before it is signed.
type Enrolment struct {
	Label     string    `cbor:"1,keyasint,omitempty"`
	Lang      string    `cbor:"2,keyasint,omitempty"`
	Zone      string    `cbor:"3,keyasint,omitempty"`
	Phone     string    `cbor:"4,keyasint,omitempty"`
	Physician string    `cbor:"5,keyasint,omitempty"`
	Appliance Appliance `cbor:"6,keyasint,omitempty"`
	Baseline  Baseline  `cbor:"7,keyasint,omitempty"`
	Plan      Plan      `cbor:"8,keyasint,omitempty"` // limits, hours, end, fallback; Rev, By and On are set by signing
	Checklist uint16    `cbor:"9,keyasint,omitempty"`
	Adult     bool      `cbor:"10,keyasint,omitempty"` // 18 or older, as the clinician says
	Template  string    `cbor:"11,keyasint,omitempty"` // the practice's template that the form was filled from, by its name
}

// The fitting-day checklist, a bit each; all of them are needed, the last only
// with a bite guide.
const (
	CheckSeats  uint16 = 1 << iota // seats fully
	CheckSmooth                    // no sharp spot
	CheckEasy                      // the start is comfortable
	CheckTurned                    // the patient put it in, took it out and turned it once
	CheckGuide                     // the bite guide is made
	NumChecks   = iota
)
