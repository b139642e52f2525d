// Package flows says what happens next to a patient: the talk with one person
// about nights, advice, cautions and orders. It is pure: no input or output, no
// clock, no text, no goroutine, no randomness. Given the practice, the patient
// and an event it returns the new patient and what must follow, as data:
//
//	Next(Practice, Patient, Event) (Patient, []Effect)
//
// Next is total: any event in any state, no error, no panic, and its arguments
// are not modified.
//
// # One text, through the rooms
//
// A patient writes "worn all night, snoring 3, pain 2" in the morning. Package
// locales has made a reading of it; the scheduler hands it over as Said.
//
//	next.go             Next        the event is of the patient's own chat: it is handed on by its type
//	turn_text.go        text        red-flag features first (pacing.Course.Hear), then an open question of the
//	                                path, then the day
//	turn_answers.go     daySaid     answers of the day, a control word, or words for people
//	turn_whichnight.go  nightOf     which night each answer is about
//	turn_take.go        record      the answer into the course (pacing.Course.Answer), which may raise a flag;
//	                                note orders the diary's row
//	turn_readback.go    readBack    what was saved, read back
//	escalation_caution.go  raise    cautions for the patient, cards for people, where something was raised
//	order.go            readvise    tonight's advice again, where it was given and this changes it
//	checkin.go          proceed     the next open question (checkin_question.go); behind an evening's last the advice
//	checkin_advice.go   showAdvice  what to set tonight, and where it stands
//	turn.go             done        all of it as one message, with diary rows and timers, in the order of Effects
//
// # Files by the first word of their name
//
//	turn_*        one event of the patient's chat, from the text to the answer
//	checkin_*     what is asked at dusk and at dawn, and the evening's advice
//	path_*        invited, agreed, paused, ended, restored: everything around the nights
//	order_*       what staff order, and what they are told of it
//	escalation_*  cautions, cards, ringing until a person takes it
//
// The rooms under it, none of which knows of a talk: civil, chart, reading,
// message, practice, evidence, redflag, pacing, enrol, outcome, estimate (which no
// rule reads). Beside it: desk (the talk with strangers and staff), replay,
// cohort, why.
//
// # The path of a patient
//
//	invited -> consented -> settling -> stepping <-> resting -> holding -> testing -> steady -> recall
//
// paused, stopped (an E or S flag is open) and ended are reachable from any
// state, and every state has a way out that a person can name.
package flows
