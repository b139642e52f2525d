// Package enrol is the one form of a plan: every blank that a clinician fills
// in at the chair, with its kind, bounds, default and basis. The guided form of
// the chat, pasted lines and a plan's file all read the same table (fields.go),
// so that they ask, refuse and offer the same. A refusal names the blank and
// says why.
//
//	fields.go        the table
//	formread.go      a typed text -> a value, its parts in formparse.go
//	formset.go       a value -> its place in the enrolment, and back
//	formdefault.go   what is offered where nothing was typed
//	problem.go       all that is wrong with an enrolment, hard and soft
//	summary.go       what the plan comes to, before it is signed
package enrol
