package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// Effect is something that a commit orders: a message, a timer, a row of the
// diary, or an event for another aggregate. Effects are data; nothing happens
// before the commit that holds them.
type Effect interface{ effect() }

// Lane orders messages; a lower one passes every higher one.
type Lane uint8

// The lanes.
const (
	LaneUrgent Lane = iota // class E and S
	LaneReply
	LaneStaff
	LanePrompt
	LaneReminder
	LaneReport
	LaneStranger // to whoever is no patient and no staff
)

// Send orders a message.
type Send struct {
	Chat     int64  // 0: the patient's bound chat
	Lang     string // empty: the patient's, or the chat's own
	Lane     Lane
	Msg      message.Message
	Key      string // what Withdraw names
	NotAfter int    // minutes after which it is too late to matter; 0 for no end
	Advice   int32  // number of the advice it carries
	Plan     int32  // revision of the plan it was made under; one made under an older is never sent
	Once     bool   // in doubt it is not sent again (documents)
}

// Withdraw takes back messages that were not sent, by their key; a sent one
// with inline buttons loses them.
type Withdraw struct{ Key string }

// SetTimer orders a Due event of that name for this aggregate. An existing
// timer of the name is replaced.
type SetTimer struct {
	Name   string
	At     civil.Wall // local time where Zone says; used where After is 0
	Office bool       // At is the practice's wall time, not the patient's
	After  int        // minutes from now, real time
	Slack  int        // minutes that it may come after At, so that not everybody's come at once
	Arg    string
	Cron   string // at the next wall time of this cron spec, on the practice's clock; At and After are then 0
}

// ClearTimer takes a timer back.
type ClearTimer struct{ Name string }

// Note writes a revision of a night's diary row.
type Note struct {
	Entry  chart.Entry
	Source chart.Source
}

// Log adds a line to the aggregate's journal beside the event's own.
type Log struct {
	What string        `cbor:"1,keyasint,omitempty"`
	Args []message.Arg `cbor:"2,keyasint,omitempty"`
}

// Tell is an event for another aggregate; it is applied once.
type Tell struct {
	To   Target
	Body Body
}

// Call orders the practice's outside call: class, number and time are all that it
// tells. Delivered comes back under its key where it was made, Missed where it
// was not within its time, or there is none to make.
type Call struct {
	Class  redflag.Class
	Number int32
	Key    string // what Withdraw names
	Within int    // minutes
}

// Target names another aggregate. Exactly one field is set.
type Target struct {
	Patient  chart.PatientID `cbor:"1,keyasint,omitempty"`
	Chat     int64           `cbor:"2,keyasint,omitempty"`
	Practice bool            `cbor:"3,keyasint,omitempty"`
	Code     string          `cbor:"4,keyasint,omitempty"` // whoever owns this enrolment code; nobody: NoSuchCode comes back
	Open     bool            `cbor:"5,keyasint,omitempty"` // every patient with something open
}

// Own takes an index entry for this aggregate, or gives it up: an enrolment
// code or the practice's label. The value is hashed with the store's key.
type Own struct {
	Kind  string // "code", "label", "chat"
	Value string
	Drop  bool
}

func (Send) effect()       {}
func (Withdraw) effect()   {}
func (SetTimer) effect()   {}
func (ClearTimer) effect() {}
func (Note) effect()       {}
func (Log) effect()        {}
func (Tell) effect()       {}
func (Own) effect()        {}
func (Call) effect()       {}
