// Package chat encodes and decodes between the Bot API and the flows, nothing
// else: an update becomes an event, an outbox item becomes words and buttons.
// It decides nothing about a patient, so it names no state, class, role or
// rule; a test on its syntax tree keeps it so.
//
// Quick answers are buttons of the reply keyboard: they arrive as messages, which
// the platform keeps a day, where a tap on an inline button is kept 150 seconds.
// Each label is a fragment of the one-line day that names its question, so a late
// or double press goes to its own field. Inline buttons carry a nonce, and serve
// confirmations and the desk (callback.go).
package chat
