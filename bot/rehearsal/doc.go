// Package rehearsal is the page, and the JSON interface under it, where one
// plays every person of an invented practice and moves the clock. It knows the
// stand-in's talks and nothing of patients: who the people are, what waits, what
// a course looks like and what the page says come from a House and its Worlds,
// which the program fills.
//
// Nothing here is meant for a network: the program serves it on loopback. The
// page is plain HTML, CSS and JavaScript modules, as they lie in the folder page,
// and asks for nothing from elsewhere.
package rehearsal
