// Package why answers the question why: what a rule, a red flag, a blank of the
// form or a fixed figure is, its default and range, and what it rests on. Its
// report gives the outcomes of one patient by those definitions. Everything is
// taken from the tables themselves.
package why
