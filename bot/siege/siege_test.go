package siege

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/store/redistest"
)

// crashFor is how long the program is killed again and again, on each store.
var crashFor = flag.Duration("crash", 30*time.Second, "how long TestKillNine kills the program; minutes for a long run")

// TestKillNine kills the program at random moments while patients and staff
// write, tap and are asked, and wants nothing lost and nothing done twice.
func TestKillNine(t *testing.T) {
	talktest.OnlyInSiege(t)
	program := Build(t)
	t.Run("nowhere to write", func(t *testing.T) { nowhere(t, program) })
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		path := filepath.Join(t.TempDir(), "d.db")
		New(t, program, "sqlite:"+path, false, *crashFor).Run()
	})
	t.Run("redis", func(t *testing.T) {
		t.Parallel()
		New(t, program, redistest.Address(t), true, *crashFor).Run()
	})
	t.Run("redis polled", func(t *testing.T) {
		if *crashFor < 2*time.Minute {
			t.Skip("the turn to poll is handed over after ten seconds: few kills fit into a short run")
		}
		t.Parallel()
		New(t, program, redistest.Address(t), false, *crashFor).Run()
	})
}

// nowhere starts the program where it may not write: it says so, names the file
// and ends, and so does check.
func nowhere(t *testing.T, program string) {
	dir := filepath.Join(t.TempDir(), "kept")
	if err := os.Mkdir(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	store := filepath.Join(dir, "d.db")
	for _, command := range []string{"serve", "check"} {
		c := exec.Command(program, command)
		c.Env = append(os.Environ(), "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API=http://127.0.0.1:1",
			"DUSKDAWN_STORE=sqlite:"+store)
		if os.Getuid() == 0 { // whom no mode stops
			for _, path := range []string{filepath.Dir(filepath.Dir(program)), filepath.Dir(program),
				filepath.Dir(filepath.Dir(dir)), filepath.Dir(dir)} {
				if err := os.Chmod(path, 0o755); err != nil {
					t.Fatal(err)
				}
			}
			c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
			c.Dir = "/"
		}
		out, err := c.CombinedOutput()
		var code *exec.ExitError
		if !errors.As(err, &code) || code.ExitCode() != 1 || !bytes.Contains(out, []byte(store)) ||
			!bytes.Contains(out, []byte("permission denied")) {
			t.Errorf("%s: %v\n%s", command, err, out)
		}
	}
}
