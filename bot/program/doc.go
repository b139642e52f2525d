// Package program is the whole bot, wired: a store, the scheduler with the flows,
// and what comes in from and goes out to the platform. Build makes one of its
// Parts; Poll or Called runs it until the context ends. serve runs it against the
// platform, bot/stage against the stand-in, and a host's command works on one
// that does not run.
//
// Beside the wiring it holds what a process does that no flow decides: who of
// several processes polls (lead.go), what is done after a time without (intake.go),
// what is set aside (aside.go), whether all is well (health.go), and the record of
// a patient as it stands in the store (record.go, course.go).
package program
