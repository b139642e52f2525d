// Package rehearsal is the page, and the JSON interface under it, where one
// plays every person of an invented practice and moves the clock. It knows the
// stand-in's talks and nothing of patients: who the people are and what waits
// comes from a Course, which the program fills.
//
// Nothing here is meant for a network: the program serves it on loopback.
package rehearsal
