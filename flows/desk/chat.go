package desk

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/practice"
)

// Chat is what is remembered of one chat: whose it is, and what is open in it.
// Whether the person may do a thing is looked up in the practice each time; a
// chat never holds a role.
type Chat struct {
	ID      int64           `cbor:"1,keyasint,omitempty"` // the platform's number; below 0 for a group
	Lang    string          `cbor:"2,keyasint,omitempty"`
	Patient chart.PatientID `cbor:"3,keyasint,omitempty"` // bound to this patient
	Gen     int32           `cbor:"4,keyasint,omitempty"` // counts bindings: what an older one sent counts no more
	Since   civil.Date      `cbor:"5,keyasint,omitempty"` // of the binding
	Staff   string          `cbor:"6,keyasint,omitempty"` // bound to this person of the practice
	Tries   []int64         `cbor:"7,keyasint,omitempty"` // when codes were tried, Unix seconds, the last hour
	Told    int64           `cbor:"8,keyasint,omitempty"` // when a stranger was last answered, Unix seconds
	Code    string          `cbor:"9,keyasint,omitempty"` // a code that was given and is not answered yet; a staff code by its hash
	Form    Form            `cbor:"10,keyasint,omitempty"`
	Out     bool            `cbor:"11,keyasint,omitempty"` // the chat could not be reached
	Drafts  []flows.Draft   `cbor:"12,keyasint,omitempty"` // what others, or this person before, filled in, and waits to be looked at and signed
	Pins    int16           `cbor:"13,keyasint,omitempty"` // wrong PINs since the last right one
	Aside   *Form           `cbor:"14,keyasint,omitempty"` // a form that was set aside for another
	Warned  int64           `cbor:"15,keyasint,omitempty"` // when a stranger was last told whom to call in an emergency that they wrote of, Unix seconds
}

// Form is what a staff member has open: one at a time.
type Form struct {
	Op     string           `cbor:"1,keyasint,omitempty"` // what it is for, the op of the button or word; empty for none
	Nonce  string           `cbor:"2,keyasint,omitempty"` // its buttons carry it
	Stage  Stage            `cbor:"3,keyasint,omitempty"`
	At     int16            `cbor:"4,keyasint,omitempty"`  // the open question: a place in its list
	Filled enrol.Filled     `cbor:"5,keyasint,omitempty"`  // the enrolment, or the plan that is changed
	Order  flows.Order      `cbor:"6,keyasint,omitempty"`  // what will be asked of the patient's flow
	Brief  *flows.Brief     `cbor:"7,keyasint,omitempty"`  // the patient, as the form opened
	Zones  []string         `cbor:"8,keyasint,omitempty"`  // zones offered
	Wrong  int16            `cbor:"9,keyasint,omitempty"`  // labels typed that did not match
	Since  int64            `cbor:"10,keyasint,omitempty"` // last touched, Unix seconds
	Field  int16            `cbor:"11,keyasint,omitempty"` // the blank that is open within a question: its place in the table, from 1
	New    chart.PatientID  `cbor:"12,keyasint,omitempty"` // the patient that an enrolment will make
	Trail  []int16          `cbor:"13,keyasint,omitempty"` // blanks answered one by one, for going back
	Asks   []int16          `cbor:"14,keyasint,omitempty"` // places of blanks that are asked although nothing needs it
	Cover  *practice.Cover  `cbor:"18,keyasint,omitempty"` // who is to cover which days
	Secret string           `cbor:"16,keyasint,omitempty"` // a PIN that was chosen and is typed again, hashed
	Looked bool             `cbor:"17,keyasint,omitempty"` // this is the second look at what From has signed
	Seen   *chart.Enrolment `cbor:"20,keyasint,omitempty"` // the enrolment as it was shown last
	Partly bool             `cbor:"21,keyasint,omitempty"` // of it only what was changed: it is not signed before the whole was shown
	Want   *flows.Tap       `cbor:"19,keyasint,omitempty"` // the button that was pressed beside it, which is done where this form is set aside
	From   flows.Actor      `cbor:"15,keyasint,omitempty"` // who filled in what this person signs; the link goes there
}

// Stage is how far a form has come.
type Stage uint8

// The stages.
const (
	Closed   Stage = iota
	Waiting        // for the Brief
	Asking         // a question is open
	Summing        // the summary waits for yes or no
	Checking       // the second identifier waits to be typed
	Sent           // ordered; kept so that a refusal loses nothing
	Proving        // the PIN of who signs waits to be typed
	Looking        // who looks a second time waits to be named
)

// Open reports whether a form waits for its person.
func (c *Chat) Open() bool { return c.Form.Stage != Closed && c.Form.Stage != Sent }

// Busy reports whether a form is open that a person has begun to fill in, or signed:
// another never takes its place unasked.
func (c *Chat) Busy() bool { return c.Open() && (c.Form.Stage != Waiting || c.Form.At > 0) }

// Group reports whether the chat is a group: the platform numbers those below 0.
func (c *Chat) Group() bool { return c.ID < 0 }
