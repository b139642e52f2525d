package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// Order is something that staff ask of a patient's flow. The patient's flow
// checks the actor's role against the practice itself.
type Order struct {
	Actor   Actor            `cbor:"1,keyasint,omitempty"`
	Op      OrderOp          `cbor:"2,keyasint,omitempty"`
	Esc     int32            `cbor:"3,keyasint,omitempty"` // the escalation meant; 0 for none
	Flag    string           `cbor:"4,keyasint,omitempty"` // the flag meant; empty for all that may be released
	To      chart.Steps      `cbor:"5,keyasint,omitempty"` // the setting named
	Until   civil.Date       `cbor:"6,keyasint,omitempty"`
	Text    string           `cbor:"7,keyasint,omitempty"` // note, outcome, what was done
	Lang    string           `cbor:"8,keyasint,omitempty"`
	Zone    string           `cbor:"9,keyasint,omitempty"`
	Plan    *chart.Plan      `cbor:"10,keyasint,omitempty"` // with OrderPlan: the new limits, signed by the actor
	Test    *chart.SleepTest `cbor:"11,keyasint,omitempty"`
	Entry   *chart.Entry     `cbor:"12,keyasint,omitempty"` // with OrderTranscribe: answers given by telephone
	Chat    int64            `cbor:"13,keyasint,omitempty"` // where the answer goes
	Code    string           `cbor:"14,keyasint,omitempty"` // with OrderRebind: the new code
	Has     bool             `cbor:"15,keyasint,omitempty"` // To was named (0 is a setting)
	Base    int32            `cbor:"16,keyasint,omitempty"` // with OrderPlan: the revision that was changed; another one meanwhile refuses it
	Sure    bool             `cbor:"17,keyasint,omitempty"` // with OrderSteady: the actor has seen what speaks against it
	Made    int32            `cbor:"18,keyasint,omitempty"` // the state that the button or form was made for (Patient.MadeFor); 0: none is named
	More    []chart.Entry    `cbor:"20,keyasint,omitempty"` // with OrderTranscribe: answers of other nights, told together
	At      int64            `cbor:"19,keyasint,omitempty"` // with OrderSweep: Unix seconds when the list was shown; Flag is its word
	Evening civil.Clock      `cbor:"32,keyasint,omitempty"` // with OrderMove: another hour for the evening's check-in, and a minute; 0: as it is
	Morning civil.Clock      `cbor:"33,keyasint,omitempty"` // the same for the morning's
	For     string           `cbor:"34,keyasint,omitempty"` // with OrderHand: staff id of who has it now
	Second  string           `cbor:"31,keyasint,omitempty"` // with OrderPlan: staff id of who looked a second time at what it raises
}

// OrderOp is what an order asks.
type OrderOp uint8

// The orders. Those marked C are a clinician's alone.
const (
	OrderNone        OrderOp = iota
	OrderAck                 // take an escalation
	OrderNote                // add a note
	OrderResolve             // resolve an escalation with an outcome (C for anything about wear, pain, teeth or bite)
	OrderHold                // hold this patient's steps
	OrderResume              // end that hold
	OrderConfirm             // yes, this is the right person
	OrderDeny                // no, this is not: the binding is undone
	OrderRelease             // C: release a flag, at most to the last comfortable setting
	OrderPlan                // C: sign a new revision of the plan
	OrderGrant               // C: lift the comfort limit, the timetable's top, P13 and P17 up to a setting
	OrderVisit               // C: the setting is now To; counts restart
	OrderStep                // C: release one waiting step
	OrderTest                // C: record a sleep test and who interpreted it
	OrderTesting             // C: the test is arranged: state testing
	OrderSetting             // C: after a test, step on to a setting, P13 off
	OrderSteady              // C: move to steady
	OrderRecall              // C: move to recall
	OrderEnd                 // C: end treatment, with a letter to the physician
	OrderContact             // record a contact with the patient; by a clinician it restarts the contact clock
	OrderTranscribe          // write answers given by telephone
	OrderRebind              // a new code; the old phone is let go
	OrderUnbind              // a lost phone: let it go now
	OrderCard                // show the card
	OrderReopen              // C: bring an ended or paused course back
	OrderWrongPerson         // the patient's own 'this is not me'
	OrderBrief               // tell the chat what a form about this patient needs: a Brief comes back
	OrderMove                // another time zone (from the next boundary of the night), hour of a check-in within its half of the day, or language
	OrderHarmless            // what was perhaps a danger is none: close it
	OrderSweep               // close what is routine of one reason, shown in a list; every patient is asked
	OrderTake                // take over an escalation that somebody else has taken
	OrderHand                // hand what the actor has taken to For: one escalation, or all of this patient
	NumOrders
)

// Actor is who gave an order, as the practice knew them then.
type Actor struct {
	ID   string        `cbor:"1,keyasint,omitempty"` // staff id; practice.OwnerID for the command line
	Name string        `cbor:"2,keyasint,omitempty"` // the practice's label for the person
	Chat int64         `cbor:"3,keyasint,omitempty"`
	Role practice.Role `cbor:"4,keyasint,omitempty"`
}

// The stable names of the orders.
var orderNames = [NumOrders]string{
	OrderNone:        "none",
	OrderAck:         "ack",
	OrderNote:        "note",
	OrderResolve:     "resolve",
	OrderHold:        "hold",
	OrderResume:      "resume",
	OrderConfirm:     "confirm",
	OrderDeny:        "deny",
	OrderRelease:     "release",
	OrderPlan:        "plan",
	OrderGrant:       "grant",
	OrderVisit:       "visit",
	OrderStep:        "step",
	OrderTest:        "test",
	OrderTesting:     "testing",
	OrderSetting:     "setting",
	OrderSteady:      "steady",
	OrderRecall:      "recall",
	OrderEnd:         "end",
	OrderContact:     "contact",
	OrderTranscribe:  "transcribe",
	OrderRebind:      "rebind",
	OrderUnbind:      "unbind",
	OrderCard:        "card",
	OrderReopen:      "reopen",
	OrderWrongPerson: "wrong",
	OrderBrief:       "brief",
	OrderMove:        "move",
	OrderHarmless:    "harmless",
	OrderSweep:       "sweep",
	OrderTake:        "takeover",
	OrderHand:        "hand",
}

// String gives the order's stable name, for index columns, exports and replay, never for a person to read.
func (o OrderOp) String() string {
	if int(o) < len(orderNames) {
		return orderNames[o]
	}
	return orderNames[OrderNone]
}
