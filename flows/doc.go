// Package flows says what happens next to a patient: plans, nights, rules,
// flags, escalations. It is pure: no input or output, no clock, no text, no
// goroutine. Given the practice, the patient and an event it returns the new
// patient and what must follow, as data:
//
//	Next(Practice, Patient, Event) (Patient, []Effect)
//
// Next is total: any event in any state, no error, no panic, and its arguments
// are not modified.
//
// The path of a patient:
//
//	invited -> consented -> settling -> stepping <-> resting -> holding -> testing -> steady -> recall
//
// paused, stopped (an E or S flag is open) and ended are reachable from any
// state, and every state has a way out that a person can name.
package flows
