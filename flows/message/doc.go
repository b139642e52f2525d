// Package message is what a person is to be told: keys of the catalogue and
// values, never words. Package locales puts a message into the reader's
// language when it is sent, so that what was ordered yesterday is read in
// today's language, and a test can read it in none.
package message
