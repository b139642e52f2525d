package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

func TestUnit(t *testing.T) {
	h := newHost(t)
	if out, _ := h.run(0, "unit"); strings.Count(out, "[Unit]") != 5 || !strings.Contains(out, "# duskdawn-backup.timer") {
		t.Errorf("it prints %s", out)
	}
	if out, _ := h.run(0, "unit", "-to", h.dir); strings.Count(out, h.dir) != 5 {
		t.Errorf("it writes %s", out)
	}
	mine := filepath.Join(h.dir, "duskdawn.service")
	if err := os.WriteFile(mine, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, _ := h.run(0, "unit", "-to", h.dir); !strings.Contains(out, mine+" is there and differs") {
		t.Errorf("a changed file is not named: %s", out)
	}
	if got, _ := os.ReadFile(mine); string(got) != "mine" {
		t.Error("a changed file was overwritten")
	}
	h.run(1, "unit", "-to", filepath.Join(h.dir, "nowhere"))
}

// The service is hardened, gets its token as a credential, is told of by the
// program itself and watched; systemd's own checker finds nothing to complain
// of, and its measure of exposure is 1.1 of 10 at the most. Where the program ends
// for good, and each minute, a look from outside tells the owner.
func TestUnitsHold(t *testing.T) {
	text, err := units.ReadFile("unit/duskdawn.service")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{
		"Type=notify", "WatchdogSec=30", "Restart=always", "RestartSec=5", "TimeoutStopSec=60", "StateDirectory=duskdawn", "LoadCredential=token:/etc/duskdawn/token",
		"Environment=DUSKDAWN_TOKEN_FILE=%d/token", "Environment=DUSKDAWN_LISTEN=127.0.0.1:8080", "NoNewPrivileges=yes", "ProtectSystem=strict", "ProtectHome=yes", "PrivateTmp=yes",
		"CapabilityBoundingSet=", "SystemCallFilter=@system-service", "RestrictAddressFamilies=AF_INET AF_INET6 AF_UNIX", "MemoryDenyWriteExecute=yes",
		"PrivateUsers=yes", "PrivateMounts=yes", "RestartPreventExitStatus=78", "OnFailure=duskdawn-watch.service", "LoadCredential=call:/etc/duskdawn/call", "Environment=DUSKDAWN_CALL_FILE=%d/call",
	} {
		if !strings.Contains(string(text), "\n"+line+"\n") {
			t.Errorf("the service has no line %s", line)
		}
	}
	analyze, err := exec.LookPath("systemd-analyze")
	if err != nil {
		t.Skip("systemd-analyze is not on PATH: the lines were looked at, systemd's own checks were not run")
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	files, err := units.ReadDir("unit")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		text, err := units.ReadFile("unit/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		// the checker wants the program to be there
		text = []byte(strings.ReplaceAll(string(text), "/usr/local/bin/duskdawn", self))
		if err := os.WriteFile(filepath.Join(dir, f.Name()), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	run := func(args ...string) {
		t.Helper()
		cmd := exec.Command(analyze, args...)
		cmd.Env = append(os.Environ(), "SYSTEMD_UNIT_PATH="+dir+":")
		if out, err := cmd.CombinedOutput(); err != nil || args[0] == "verify" && len(out) > 0 {
			t.Errorf("systemd-analyze %v: %v\n%s", args, err, out)
		}
	}
	for _, f := range files {
		path := filepath.Join(dir, f.Name())
		run("verify", path)
		if strings.HasSuffix(path, ".service") {
			run("security", "--offline=true", "--threshold=11", path)
		}
	}
}
