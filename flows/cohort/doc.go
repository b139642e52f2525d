// Package cohort is virtual patients who live their nights through the flow
// itself: they are asked, answer, turn their appliances and grow sore, and
// flows.Work decides what happens next, as it does for a real one. It has no
// chat, no clock and no source of chance but a seed, which is a value: patient
// n of a seed is always the same, whoever else is played and on however many
// cores.
//
// It is a model for teaching and for testing the rules. It is not for setting
// anybody's plan: most of its numbers are of small published groups, the rest
// are assumptions, and Parameters says which is which.
//
// A Trial is plan, nights and seed; patient n is a value of the three and n, and a
// Tally holds whole numbers alone, so that cores and order change nothing.
//
//	person.go      what the flow never sees: range, dose response, tenderness
//	body.go        a night of the jaw
//	nights.go      what patients do
//	speech.go      what they type besides, true of their nights
//	staff.go       what people of the practice do
//	parameter.go   each number with its source; calibration_test.go holds them to published doses
//	elsewhere.go   who lives in a whole program instead
//	watch.go       every event against the promises of the design, with arithmetic of its own;
//	               TestWatch breaks each once
//	adverse.go     random, contradictory, malicious and late answers, foreign chats, wrong clocks,
//	               silence, orders without sense
//	twin.go        tonight's advice beside a worse morning's, and beside an answer taken back
package cohort
