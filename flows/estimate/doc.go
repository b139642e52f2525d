// Package estimate reckons what a clinician may want to see beside the rules:
// what more advancement is likely to buy, the nights lost by cause, likely
// dates, soreness per step, pace, readiness for a test, relapse. Each is a
// display. None is an input of a rule, none is shown to a patient, and each
// refuses in words where it has no ground.
//
// Everything is a pure function of the nights that are known, on fixed grids
// and without sampling. What comes out is in whole tenths and per cents.
package estimate
