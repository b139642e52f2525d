package chart

// State is where a patient is on the path from fitting day to recall.
type State uint8

// The states. Their order is part of the stored form: add at the end only.
const (
	NoState   State = iota
	Invited         // enrolled; the code waits to be used
	Consented       // agreed; staff have yet to say that this is the right person
	Settling        // the first worn nights at the start
	Stepping        // moving forward by the plan
	Resting         // set back, until easy mornings
	Holding         // snoring settled: hold, and arrange the test
	Testing         // a sleep test with the appliance in place is arranged
	Steady          // the position is proved
	Recall          // yearly recall
	Paused          // by the patient, or by staff
	Stopped         // an E or S flag is open
	Ended
)

// The stable names of the states.
var stateNames = [...]string{
	NoState:   "none",
	Invited:   "invited",
	Consented: "consented",
	Settling:  "settling",
	Stepping:  "stepping",
	Resting:   "resting",
	Holding:   "holding",
	Testing:   "testing",
	Steady:    "steady",
	Recall:    "recall",
	Paused:    "paused",
	Stopped:   "stopped",
	Ended:     "ended",
}

// String gives the state's stable name, for index columns, exports and replay, never for a person to read.
func (s State) String() string {
	if int(s) < len(stateNames) {
		return stateNames[s]
	}
	return stateNames[NoState]
}
