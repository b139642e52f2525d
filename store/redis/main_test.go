package redis_test

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
		_ = flag.Set("test.parallel", "6")
	}
	os.Exit(m.Run())
}

// onlyInSiege skips what starts many servers and kills some of them, unless the
// long tests are asked for, as the check script does.
func onlyInSiege(t *testing.T) {
	t.Helper()
	if os.Getenv("DUSKDAWN_SIEGE") == "" {
		t.Skip("takes long: run with DUSKDAWN_SIEGE=1")
	}
}
