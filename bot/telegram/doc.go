// Package telegram talks to the chat platform's Bot API: it sends through
// github.com/go-telegram/bot and receives by a loop of its own, because the
// library acknowledges an update before it is handled and would lose it on a
// crash. It knows no patient, no question and no language.
//
// An update is acknowledged only after its handler returned nil. What became of
// something sent is one of a closed set of outcomes. Nothing here puts the
// token, a text or an answer of the platform into an error or a log line.
package telegram
