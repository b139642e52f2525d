package talktest_test

import (
	"fmt"
	"strings"
	"testing"

	"duskdawn/bot/talktest"
)

// A conversation is a few lines of a script, played here in English. Without a
// language it prints the catalogue's keys and values, which is what the talks'
// files hold.
func Example() {
	t := new(testing.T) // an example has none of its own
	script := talktest.Parse(t, "example", `start 2026-11-02 10:00 America/New_York
enrol heron
heron: pain 3, worn all night
heron: undo`)
	fmt.Println(strings.Join(script.Play(t, talktest.NewPure(t), "en", false), "\n"))
	// Output:
	// start 2026-11-02 10:00 America/New_York
	// enrol heron
	// heron: pain 3, worn all night
	// > heron      | Saved:
	// >            | Pain 3
	// >            | Worn all night
	// heron: undo
	// > heron      | Taken back: wear.
	// >            | Did you wear it last night?
	// >            ( Worn all night )
	// >            ( Worn part of the night )
	// >            ( Not worn )
	// >            ( Reason: it was out by morning )
	// >            ( Reason: do not remember )
	// >            ( Skip: wear )
}
