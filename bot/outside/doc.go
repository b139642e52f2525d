// Package outside makes the practice's outside call: the one way to a person
// that does not go through the chat platform, for when that, this program or
// everybody at the practice is silent. It runs a command, without a shell, or
// calls a webhook, and hands on what kind of thing it is, a number and a time:
// no patient, no health detail, so that it may go to whoever carries the pager.
//
// What the call is stands in a file of its own, since the practice's file may
// be read by others and an address is often a secret in itself.
package outside
