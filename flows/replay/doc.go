// Package replay runs a plan's rules and flags over a diary, one kept on paper
// included, night by night: the very functions of flows that the chat uses. It
// has no store, no chat and no clock.
//
// Replay is the flow itself, and there is no copy of a rule that could disagree: a
// diary runs through pacing.Course, the very rules, and a course through
// flows.Next, the very chat, on what the journal has of each event and what it saw
// of the practice. Every talk, once played, is exported and replayed both ways.
package replay
