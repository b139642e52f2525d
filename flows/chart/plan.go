package chart

import (
	"duskdawn/flows/civil"
)

// Appliance is what the practice entered of the patient's appliance. Words for
// its mechanism are the practice's own; there is no list of devices.
type Appliance struct {
	Mechanism string      `cbor:"1,keyasint,omitempty"` // the practice's words, at most 60 runes
	StepWord  string      `cbor:"2,keyasint,omitempty"` // what one step is called, e.g. "half turn"
	Step      Micrometres `cbor:"3,keyasint,omitempty"` // one step, 100 to 1000 micrometres, read from the appliance
	Forward   string      `cbor:"4,keyasint,omitempty"` // which way is forward, the practice's words
	Labels    []string    `cbor:"5,keyasint,omitempty"` // the practice's own label per setting, from setting 0; may be empty
	TwoSided  bool        `cbor:"6,keyasint,omitempty"`
	Offset    Steps       `cbor:"7,keyasint,omitempty"`  // right minus left as signed by the clinician
	Travel    Steps       `cbor:"8,keyasint,omitempty"`  // steps the mechanism can go forward from fitting day
	Guide     bool        `cbor:"9,keyasint,omitempty"`  // a morning bite guide was made
	GuideMin  int16       `cbor:"10,keyasint,omitempty"` // minutes of morning guide use asked for, 2 to 25
	LipSeal   bool        `cbor:"11,keyasint,omitempty"` // has a lip-seal part
}

// Score is the total of a licensed questionnaire: the instrument's name, the
// total and its date; never an item's text.
type Score struct {
	Name  string     `cbor:"1,keyasint,omitempty"`
	Total int16      `cbor:"2,keyasint,omitempty"`
	On    civil.Date `cbor:"3,keyasint,omitempty"`
}

// Sleep test kinds and scoring rules as the report names them.
type SleepTest struct {
	On      civil.Date `cbor:"1,keyasint,omitempty"`
	Kind    string     `cbor:"2,keyasint,omitempty"`  // e.g. polysomnography, home sleep apnoea test, oximetry
	Rule    string     `cbor:"3,keyasint,omitempty"`  // the scoring rule the report states
	AHI10   Answer     `cbor:"4,keyasint,omitempty"`  // events per hour, in tenths
	ODI10   Answer     `cbor:"5,keyasint,omitempty"`  // desaturations per hour, in tenths
	ODIDrop int16      `cbor:"6,keyasint,omitempty"`  // per cent of the drop counted, 3 or 4
	By      string     `cbor:"7,keyasint,omitempty"`  // who interpreted it; needed before a test counts
	Setting Steps      `cbor:"8,keyasint,omitempty"`  // setting worn during the test
	InPlace bool       `cbor:"9,keyasint,omitempty"`  // the appliance was worn
	Asleep  int16      `cbor:"10,keyasint,omitempty"` // minutes asleep in the report; 0 where it states none
}

// Baseline is what was measured and said before the first night.
type Baseline struct {
	Max       Micrometres `cbor:"1,keyasint,omitempty"` // maximum protrusion, counted from Zero
	Zero      Zero        `cbor:"2,keyasint,omitempty"`
	Retruded  Micrometres `cbor:"3,keyasint,omitempty"`  // most retruded position from the habitual bite, 0 or less
	Start     Micrometres `cbor:"4,keyasint,omitempty"`  // setting 0, counted from the habitual bite
	Overjet   Answer      `cbor:"5,keyasint,omitempty"`  // tenths of a mm
	Overbite  Answer      `cbor:"6,keyasint,omitempty"`  // tenths of a mm
	Opening   Answer      `cbor:"7,keyasint,omitempty"`  // mm
	Pain      Answer      `cbor:"8,keyasint,omitempty"`  // usual jaw pain 0 to 10; at or below it counts as 0
	Clicking  Answer      `cbor:"9,keyasint,omitempty"`  // No, Yes
	Loose     Answer      `cbor:"10,keyasint,omitempty"` // loose teeth: No, Yes
	Implants  Answer      `cbor:"11,keyasint,omitempty"` // implants or dentures: No, Yes
	Allergies string      `cbor:"12,keyasint,omitempty"` // at most 120 runes
	Snoring   Answer      `cbor:"13,keyasint,omitempty"` // 0 to 10
	Reporter  Answer      `cbor:"14,keyasint,omitempty"` // ReporterPartner to ReporterNobody
	Sleepy    Answer      `cbor:"15,keyasint,omitempty"` // own daytime sleepiness 0 to 10
	Headache  Answer      `cbor:"16,keyasint,omitempty"` // morning headache: No, Yes
	Pauses    Answer      `cbor:"17,keyasint,omitempty"` // pauses noticed: No, Yes
	Test      SleepTest   `cbor:"18,keyasint,omitempty"`
	Scores    []Score     `cbor:"19,keyasint,omitempty"`
	Drives    Answer      `cbor:"20,keyasint,omitempty"` // drives for work: No, Yes
}

// Limits are one clinician's settings for one patient, each inside hard bounds
// (fields.go holds the bounds, defaults and sources).
type Limits struct {
	Ceiling        Steps       `cbor:"1,keyasint,omitempty"`  // signed ceiling, steps from fitting day
	Settle         int16       `cbor:"2,keyasint,omitempty"`  // worn nights before the first step
	Interval       int16       `cbor:"3,keyasint,omitempty"`  // worn nights between steps
	RestMornings   int16       `cbor:"4,keyasint,omitempty"`  // consecutive easy mornings that end a rest
	Target         int16       `cbor:"5,keyasint,omitempty"`  // snoring mean at or under which it counts as settled, 0 to 4
	Loud           int16       `cbor:"6,keyasint,omitempty"`  // a night this loud or louder is a loud night, default 7
	WornMinutes    int16       `cbor:"7,keyasint,omitempty"`  // minutes that count as a worn night, default 240
	Pace           Micrometres `cbor:"8,keyasint,omitempty"`  // most forward movement in any 7 nights, at most 1000
	Timetable      bool        `cbor:"9,keyasint,omitempty"`  // nobody can hear: step by timetable up to TimetableTop
	TimetableTop   Steps       `cbor:"10,keyasint,omitempty"` // the timetable's own lower ceiling
	ReleaseByHand  bool        `cbor:"11,keyasint,omitempty"` // a person releases each step
	DrivingNightly bool        `cbor:"12,keyasint,omitempty"` // ask about driving every evening
	ContactDays    int16       `cbor:"13,keyasint,omitempty"` // days without clinician contact before everything holds, at most 90
	WeeklyNeeded   bool        `cbor:"14,keyasint,omitempty"` // overdue weekly items hold a step
	EasyPain       Answer      `cbor:"15,keyasint,omitempty"` // worst pain of an easy morning of a rest, 0 to 4; unknown: 2
	RestFactor     Answer      `cbor:"16,keyasint,omitempty"` // tenths: by how much the interval is longer after a rest, 10 to 20; unknown: 20
	GainShare      Answer      `cbor:"17,keyasint,omitempty"` // per cent of the first reports that the newest may be at most, 70 to 90; unknown: 80
}

// Plan is what a clinician signed for one patient. A change is a new revision;
// messages made under an older one are never sent.
type Plan struct {
	Rev      int32       `cbor:"1,keyasint,omitempty"` // from 1; 0 is no plan
	By       string      `cbor:"2,keyasint,omitempty"` // staff id of the clinician who signed
	ByName   string      `cbor:"3,keyasint,omitempty"` // how the practice labels that person
	On       civil.Date  `cbor:"4,keyasint,omitempty"` // signed
	Fitted   civil.Date  `cbor:"5,keyasint,omitempty"` // fitting day: the first night
	Ends     civil.Date  `cbor:"6,keyasint,omitempty"` // after this night there is no advice until a clinician renews it
	Limits   Limits      `cbor:"7,keyasint,omitempty"`
	Evening  civil.Clock `cbor:"8,keyasint,omitempty"`  // local time of the evening check-in
	Morning  civil.Clock `cbor:"9,keyasint,omitempty"`  // local time of the morning check-in
	Boundary civil.Clock `cbor:"10,keyasint,omitempty"` // where a night ends; 0 means Noon
	Fallback string      `cbor:"11,keyasint,omitempty"` // therapy to fall back on, the practice's words
	Goal10   Answer      `cbor:"12,keyasint,omitempty"` // the index that treatment is to come to, in tenths; unknown: none named
	Alone    Answer      `cbor:"13,keyasint,omitempty"` // Yes: moderate or worse and no other therapy, and the clinician goes on
	// The hours that were signed, and a minute, where the practice has moved them since
	// without a new revision; 0: they were not moved.
	SignedEvening civil.Clock `cbor:"14,keyasint,omitempty"`
	SignedMorning civil.Clock `cbor:"15,keyasint,omitempty"`
}

// Night returns the plan's night of a wall time.
func (p Plan) Night(w civil.Wall) civil.Date {
	if p.Boundary == 0 {
		return w.Night(civil.Noon)
	}
	return w.Night(p.Boundary)
}

// Coming is the night whose evening comes next, or has come: in the morning
// hours, before the night's boundary, that of the same day.
func (p Plan) Coming(w civil.Wall) civil.Date {
	boundary := p.Boundary
	if boundary == 0 {
		boundary = civil.Noon
	}
	night := p.Night(w)
	// whose evening is in these hours, a night worker's, wakes before the next
	if p.Evening >= smallHours && p.Evening < boundary {
		if _, morning := p.Half(w); morning {
			return night + 1
		}
		return night
	}
	if w.Clock < boundary && w.Clock >= smallHours {
		return night + 1
	}
	return night
}

// smallHours is until when the night before still goes on, and is what is meant.
const smallHours civil.Clock = 4 * 60
