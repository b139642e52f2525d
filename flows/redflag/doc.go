// Package redflag holds the table of red flags: what a person must look at, how
// soon, what it does to wearing the appliance until then, and what the patient
// hears at once.
//
// A row holds all that raises it: the features of what is said (Said, Less), the
// answer that comes to a threshold (Field, Reached), or a rule of pacing that
// names it. An open Flag is kept in the patient's course, by the id of its row.
//
// To add one: a row in flagtable.go behind those that are as urgent and more
// particular, and its caution, name and words for the desk in
// locales/flag.*.toml. Its class, its effect on wear and its source are a
// proposal that a clinician signs.
package redflag
