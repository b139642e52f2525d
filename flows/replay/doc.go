// Package replay runs a plan's rules and flags over a diary, one kept on paper
// included, night by night: the very functions of flows that the chat uses. It
// has no store, no chat and no clock.
package replay
