// Package chart is the patient's record in values: the appliance and what was
// found at the chair, the plan with its limits, one night's entry with its
// answers and its advice, and what can be said of an entry without a rule.
// Unknown is not zero and not "fine" anywhere in it: an answer is unknown,
// skipped, or a number.
//
//	answer.go      an answer
//	field.go       the fields there are
//	entry.go       one night
//	judged.go      what a night's entry says: worn, sore, comfortable
//	plan.go        appliance, baseline, limits, plan
//	position.go    steps, micrometres, shares of the protrusive range
//	advice.go      rules by number, actions, an advice
//	column.go      how each field stands in a diary table
//	adherence.go   nights worn, by two published rules
package chart
