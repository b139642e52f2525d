package talktest

import (
	"os"
	"testing"
)

// siegeVar asks for the tests that take minutes: the program killed again and
// again, two processes, every talk on every store, floods of ten thousand, more
// mutants. The check script sets it; without it they say that they were not run.
const siegeVar = "DUSKDAWN_SIEGE"

// Siege reports whether the long tests are asked for.
func Siege() bool { return os.Getenv(siegeVar) != "" }

// OnlyInSiege skips a test that takes minutes, unless it is asked for.
func OnlyInSiege(t *testing.T) {
	t.Helper()
	if !Siege() {
		t.Skip("takes minutes: run with " + siegeVar + "=1")
	}
}
