package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
)

// Patient is everything the flow remembers of one patient. It is a value:
// Next never changes its argument.
type Patient struct {
	ID        chart.PatientID `cbor:"1,keyasint,omitempty"`
	Label     string          `cbor:"2,keyasint,omitempty"` // the practice's own label, no name needed
	Lang      string          `cbor:"3,keyasint,omitempty"`
	Zone      string          `cbor:"4,keyasint,omitempty"` // IANA name
	ZoneNext  string          `cbor:"5,keyasint,omitempty"` // takes effect at the next boundary
	Phone     string          `cbor:"6,keyasint,omitempty"`
	Physician string          `cbor:"7,keyasint,omitempty"`

	Appliance chart.Appliance `cbor:"8,keyasint,omitempty"`
	Baseline  chart.Baseline  `cbor:"9,keyasint,omitempty"`
	Plan      chart.Plan      `cbor:"10,keyasint,omitempty"`
	Checklist uint16          `cbor:"11,keyasint,omitempty"` // fitting-day checklist, a bit each
	Course    pacing.Course   `cbor:"12,keyasint,omitempty"`
	Talk      Talk            `cbor:"13,keyasint,omitempty"`

	Escalations []Escalation `cbor:"14,keyasint,omitempty"` // open ones
	EscCount    int32        `cbor:"15,keyasint,omitempty"`

	Chat    int64      `cbor:"16,keyasint,omitempty"` // bound chat; 0 for none
	Gen     int32      `cbor:"17,keyasint,omitempty"` // generation of the binding
	Code    string     `cbor:"18,keyasint,omitempty"` // enrolment code, until used
	CodeEnd int64      `cbor:"19,keyasint,omitempty"` // Unix seconds
	Consent string     `cbor:"20,keyasint,omitempty"` // version and language of the text agreed to
	Agreed  civil.Date `cbor:"21,keyasint,omitempty"`
	Bounced bool       `cbor:"22,keyasint,omitempty"` // the chat cannot be reached
	Epoch   int32      `cbor:"23,keyasint,omitempty"` // the restore epoch whose setting was confirmed

	Resume     chart.State       `cbor:"24,keyasint,omitempty"` // the state that Paused or Stopped goes back to
	Review     civil.Date        `cbor:"25,keyasint,omitempty"` // the next milestone
	ReviewKind uint8             `cbor:"26,keyasint,omitempty"`
	Tests      []chart.SleepTest `cbor:"27,keyasint,omitempty"` // newest last, at most 4
	Held       bool              `cbor:"28,keyasint,omitempty"` // staff hold this patient's steps
	Sure       int32             `cbor:"29,keyasint,omitempty"` // the generation of the binding that staff confirmed as the right person
	Used       string            `cbor:"30,keyasint,omitempty"` // the code that this patient joined by, void since: pressed again it is nobody else's

	Moves  int32   `cbor:"31,keyasint,omitempty"` // counts changes of what people decide about: a button made before one does nothing
	Moved  Deed    `cbor:"32,keyasint,omitempty"` // who made the newest of them that a person made
	Closed []Deed  `cbor:"33,keyasint,omitempty"` // who closed the newest escalations
	Shown  []Shown `cbor:"34,keyasint,omitempty"` // cards in chats, of what is open

	Turned civil.Date `cbor:"35,keyasint,omitempty"` // the day at the practice on which the state last changed
	TestOn civil.Date `cbor:"39,keyasint,omitempty"` // the night for which a sleep test is arranged; 0 where no date was given
	Noted  []Noted    `cbor:"38,keyasint,omitempty"` // the newest notes, contacts, outcomes and orders
	Number int32      `cbor:"37,keyasint,omitempty"` // in the practice, counted from 1; 0 until it is given
	Carded []Carded   `cbor:"36,keyasint,omitempty"` // cards that went to people in the last days

	Let       int32      `cbor:"41,keyasint,omitempty"` // the hold of everything (Practice.HoldN) in which staff let this patient go on
	Revisions []Revision `cbor:"42,keyasint,omitempty"` // the newest changes of the plan, newest last; the journal has all
	HeldBy    Deed       `cbor:"43,keyasint,omitempty"` // who holds the steps, since when and why; none in what an older program stored
}

// Talk is the state of the conversation.
type Talk struct {
	CheckIn  CheckIn      `cbor:"1,keyasint,omitempty"` // the check-in that runs
	Night    civil.Date   `cbor:"2,keyasint,omitempty"` // its night
	Open     chart.Field  `cbor:"3,keyasint,omitempty"` // the question that waits for an answer; NoField for none
	OpenAt   int64        `cbor:"4,keyasint,omitempty"` // Unix seconds when it went out
	Nonce    string       `cbor:"5,keyasint,omitempty"` // of the open confirmation
	Asked    uint32       `cbor:"6,keyasint,omitempty"` // a bit per Field already asked in this check-in
	Last     chart.Field  `cbor:"7,keyasint,omitempty"` // the last answer, for undo
	LastOn   civil.Date   `cbor:"8,keyasint,omitempty"`
	LastWas  chart.Answer `cbor:"9,keyasint,omitempty"`
	Ask      Ask          `cbor:"10,keyasint,omitempty"` // an open question that is not a Field
	AskArg   string       `cbor:"11,keyasint,omitempty"`
	Quiet    int16        `cbor:"12,keyasint,omitempty"` // quiet nights in a row, for the shorter form
	Silent   int16        `cbor:"13,keyasint,omitempty"` // silent nights in a row
	Weekly   civil.Date   `cbor:"14,keyasint,omitempty"` // the last weekly check-in asked
	WeeklyA  civil.Date   `cbor:"15,keyasint,omitempty"` // the last one answered
	Cards    uint16       `cbor:"16,keyasint,omitempty"` // how-to cards offered, a bit per Topic
	Warned   civil.Date   `cbor:"17,keyasint,omitempty"` // the last "this chat is not watched"
	Reporter chart.Answer `cbor:"18,keyasint,omitempty"` // who reports snoring, asked once
	Edit     chart.Answer `cbor:"19,keyasint,omitempty"` // a value that waits for "yes, change it"
	EditOf   chart.Field  `cbor:"20,keyasint,omitempty"`
	EditOn   civil.Date   `cbor:"21,keyasint,omitempty"`
	Seen     int64        `cbor:"22,keyasint,omitempty"` // the platform's number of the newest message said; a reply to an older one is no answer to the open question
	Doubt    string       `cbor:"23,keyasint,omitempty"` // the row of the flag table that was perhaps said, and is asked about
	DoubtOf  string       `cbor:"24,keyasint,omitempty"` // the words
	DoubtAt  int64        `cbor:"25,keyasint,omitempty"` // Unix seconds when the newest such was said
	SafetyAt int64        `cbor:"26,keyasint,omitempty"` // Unix seconds when the safety question was last asked
	Unheard  int16        `cbor:"27,keyasint,omitempty"` // mornings after an emergency, in a row, on which nobody answered how they are
	Beside   bool         `cbor:"29,keyasint,omitempty"` // something was written since the last answer, and nothing of it stored
	OutOn    civil.Date   `cbor:"28,keyasint,omitempty"` // the day on which it was last said that it stays out until the practice has looked
}

// CheckIn is a check-in.
type CheckIn uint8

// The check-ins.
const (
	NoCheckIn CheckIn = iota
	EveningCheck
	MorningCheck
	Recheck
	WeeklyCheck
)

// Ask is an open question that is not about the day.
type Ask uint8

// The questions.
const (
	NoAsk      Ask = iota
	AskConsent     // agree or decline
	AskAdult
	AskStop   // what 'stop' meant
	AskNow    // is this danger happening now?
	AskCount  // what does the appliance stand at?
	AskEdit   // change an earlier answer?
	AskNumber // which question was that number for?
	AskErase  // leave for good?
	AskWrong  // what is wrong?
	AskLanguage
	AskHow    // how they are after an emergency
	AskDanger // is what was perhaps said happening now?
	AskWhen   // when was it, and is it over?
	AskWho    // who is it then?
	AskSafety // which trouble is it?
	AskWorry  // what sets the class of that trouble
)

// Facts gathers what the rules need at an event.
func (p *Patient) Facts(pr *practice.Practice, e *Event) pacing.Facts {
	return pacing.Facts{
		Plan: &p.Plan, Appliance: &p.Appliance, Baseline: &p.Baseline,
		Doubt:    e.Doubt || pr.Rival,
		Restored: p.Epoch != pr.Epoch || pr.Released != pr.Epoch,
		Held:     p.HeldIn(pr),
		Halted:   pr.Halted,
		Unread:   p.unread() || p.Talk.Doubt != "" && e.At.Unix()-p.Talk.DoubtAt < doubtMinutes*60,
	}
}

// HeldIn reports whether staff hold this patient's steps: alone, or with everybody's
// and not let go on since.
func (p *Patient) HeldIn(pr *practice.Practice) bool {
	return p.Held || pr.Held && (p.Let == 0 || p.Let != pr.HoldN)
}

// unread reports whether words, or what cannot be read, went to people without
// being understood, and neither has one of them read it nor was the safety
// question answered.
func (p *Patient) unread() bool {
	for i := range p.Escalations {
		if p.Escalations[i].Unread {
			return true
		}
	}
	return false
}

// The stable names of the check-ins.
var checkInNames = [...]string{
	NoCheckIn:    "none",
	EveningCheck: "evening",
	MorningCheck: "morning",
	Recheck:      "recheck",
	WeeklyCheck:  "weekly",
}

// String gives the check-in's stable name, for index columns, exports and replay, never for a person to read.
func (s CheckIn) String() string {
	if int(s) < len(checkInNames) {
		return checkInNames[s]
	}
	return checkInNames[NoCheckIn]
}
