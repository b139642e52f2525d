// Package chat encodes and decodes between the Bot API and the flows, nothing
// else: an update becomes an event, an outbox item becomes words and buttons.
// It decides nothing about a patient, so it names no state, class, role or
// rule; a test on its syntax tree keeps it so.
package chat
