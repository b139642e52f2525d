package siege

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"
)

// Build builds the program as this test was built, so that what is
// compiled already is used.
func Build(t testing.TB, more ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "duskdawn")
	args := append([]string{"build", "-o", path}, more...)
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

// BuildAstray builds the program for a machine whose clock is ahead by so much:
// its real clock alone is another, laid over the source.
func BuildAstray(t testing.TB, by time.Duration) string {
	t.Helper()
	file, err := filepath.Abs("../../scheduler/clock.go")
	if err != nil {
		t.Fatal(err)
	}
	source, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	ahead := fmt.Sprintf("Add(%d)", by)
	right := strings.NewReplacer("return time.Now()", "return time.Now()."+ahead, "time.Until(t)", "time.Until(t."+ahead[:4]+"-"+ahead[4:]+")")
	wrong := right.Replace(string(source))
	if strings.Count(wrong, ahead[4:]) != 2 {
		t.Fatal("the real clock reads otherwise than this test lays over it")
	}
	laid := filepath.Join(t.TempDir(), "clock.go")
	overlay := filepath.Join(t.TempDir(), "overlay.json")
	list, err := json.Marshal(map[string]map[string]string{"Replace": {file: laid}})
	if err != nil {
		t.Fatal(err)
	}
	for path, text := range map[string][]byte{laid: []byte(wrong), overlay: list} {
		if err := os.WriteFile(path, text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return Build(t, "-overlay", overlay)
}
