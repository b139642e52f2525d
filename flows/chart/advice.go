package chart

import (
	"iter"

	"duskdawn/flows/civil"
)

// Rule is the number of a pacing rule, 1 for P01; 0 for none. The rules are rows
// of the table of pacing.
type Rule uint8

// ID gives the rule's name, P and two digits.
func (r Rule) ID() string { return string([]byte{'P', '0' + byte(r/10), '0' + byte(r%10)}) }

// Rules is a set of rules, a bit each.
type Rules uint32

// MostRules is one more than the highest number that a set of rules takes.
const MostRules = 32

// Has reports whether the rule is in the set.
func (s Rules) Has(r Rule) bool { return s&(1<<r) != 0 }

// With is the set and the rule.
func (s Rules) With(r Rule) Rules { return s | 1<<r }

// All yields the rules of the set, by number.
func (s Rules) All() iter.Seq[Rule] {
	return func(yield func(Rule) bool) {
		for r := Rule(0); r < MostRules; r++ {
			if s.Has(r) && !yield(r) {
				return
			}
		}
	}
}

// Action is what an advice asks for. More cautious actions are smaller.
type Action uint8

// The actions, the most cautious first.
const (
	NoAction Action = iota
	LeaveOut        // leave the appliance out tonight; the setting is kept
	GoBack          // set it back
	Stay            // change nothing
	Forward         // one step forward
)

// Advice is the setting for one night, always absolute.
type Advice struct {
	Night  civil.Date `cbor:"1,keyasint,omitempty"`
	Number int32      `cbor:"2,keyasint,omitempty"` // counts a patient's advices; a replacement takes the next
	Action Action     `cbor:"3,keyasint,omitempty"`
	From   Steps      `cbor:"4,keyasint,omitempty"`  // the setting before; for GoBack the highest it may be at
	To     Steps      `cbor:"5,keyasint,omitempty"`  // the setting to wear it at (of the left side where two differ)
	Rule   Rule       `cbor:"6,keyasint,omitempty"`  // the one shown
	Fired  Rules      `cbor:"7,keyasint,omitempty"`  // every rule that spoke
	Plan   int32      `cbor:"8,keyasint,omitempty"`  // revision of the plan
	Reason string     `cbor:"9,keyasint,omitempty"`  // key of the plain reason, "reason.p07" and its kin, where one rule has several
	Ready  bool       `cbor:"10,keyasint,omitempty"` // a step waits for a person's release
	Breach bool       `cbor:"11,keyasint,omitempty"` // the guard refused what the table gave: a bug, reported
}

// SaferThan reports whether a may replace the advice in force.
func (a *Advice) SaferThan(b *Advice) bool {
	return Safer(a.Action, a.To, b.Action, b.To)
}

// The stable names of the actions.
var actionNames = [...]string{
	NoAction: "none",
	LeaveOut: "leave_out",
	GoBack:   "go_back",
	Stay:     "stay",
	Forward:  "forward",
}

// String gives the action's stable name, for index columns, exports and replay, never for a person to read.
func (a Action) String() string {
	if int(a) < len(actionNames) {
		return actionNames[a]
	}
	return actionNames[NoAction]
}

// Safer reports whether the action do, to a setting, is more cautious than
// another: of two go-backs the lower target, of two stays the lower setting.
func Safer(do Action, to Steps, than Action, thanTo Steps) bool {
	return do < than || do == than && do != LeaveOut && to < thanTo
}
