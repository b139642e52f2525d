// Package pacing says each evening how far forward the appliance is worn: the
// table of rules, the guard behind it, the Course of one patient that they read,
// and what a clinician does to it.
//
// An evening goes through these files:
//
//	answer.go, confirm.go   what the patient said of the night, and of the setting
//	assessment.go           the evening as the table sees it, counted from the nights remembered
//	rules.go                the table; each row is asked, the most cautious result wins
//	rulessore.go            ... the rows of a sore jaw
//	rulesstep.go            ... the rows that say whether a step is due
//	guard.go                the last check, which knows nothing of the rules
//	ruleeffects.go          what follows when a row speaks: rests, limits, flags, notices
//	pacing.go               the order of all that: Advise
//
// To add a rule: its number behind the others and its row in rules.go, with its
// predicate, its source and, where something follows besides the advice, its
// function; its name, its words for the desk and its reasons in
// locales/rule.*.toml; a test for each sentence of it. The counts of evenings, the
// replays, the exports and why follow the table. The whole of a row is a proposal
// that a clinician signs.
package pacing
