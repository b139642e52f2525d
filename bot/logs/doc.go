// Package logs keeps the program's log to what its inventory lists.
//
// Every line is an event of Events, with that event's keys and plain values.
// What is not listed is dropped, whoever says it: a library, the standard log,
// a line of ours that somebody forgot to list. So no answer, name or token can
// reach the log by a way that nobody thought of.
//
// So net/http, go-redis, the bot library and the standard log go through it
// without their words; cron is only a parser here and logs nothing. A panic that
// is caught is logged by its line, never by its value. A test compares the list
// with every call in the program, and canary_test.go of bot puts telling words
// into every text, name, secret and fault, and looks for them in all that leaves
// the program.
package logs
