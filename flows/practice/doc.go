// Package practice is the practice as the rules need it: its people with their
// roles, the rota, opening hours and holidays, telephone numbers, and what is
// true of the installation: held, restored, released. It is one value with a
// revision, read before a commit and named in the journal.
package practice
