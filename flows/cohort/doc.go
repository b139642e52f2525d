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
package cohort
