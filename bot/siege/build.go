package siege

import (
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"testing"
)

// Build builds the program as this test was built, so that what is
// compiled already is used.
func Build(t testing.TB) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "duskdawn")
	args := []string{"build", "-o", path}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "-race" && s.Value == "true" {
				args = append(args, "-race")
			}
		}
	}
	if out, err := exec.Command("go", append(args, "duskdawn/bot")...).CombinedOutput(); err != nil {
		t.Fatalf("building the program: %v\n%s", err, out)
	}
	return path
}
