// Package stage is the whole program against the stand-in of the platform, on a
// clock that is moved by hand. A Stage is that and no more; a Scene has the
// invented practice of the scenario on it, its people, and the three weeks that
// they have lived by the same talk a person would have. The rehearsal's page and
// the tests play on it.
package stage
