package program_test

import (
	"flag"
	"os"
	"testing"
)

// Most of these tests wait, for servers, pauses and other processes: more of them
// than there are cores go at once, if nobody said how many.
func TestMain(m *testing.M) {
	flag.Parse()
	asked := false
	flag.Visit(func(f *flag.Flag) { asked = asked || f.Name == "test.parallel" })
	if !asked {
		_ = flag.Set("test.parallel", "8")
	}
	os.Exit(m.Run())
}
