// Package logs keeps the program's log to what its inventory lists.
//
// Every line is an event of Events, with that event's keys and plain values.
// What is not listed is dropped, whoever says it: a library, the standard log,
// a line of ours that somebody forgot to list. So no answer, name or token can
// reach the log by a way that nobody thought of.
package logs
