package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"duskdawn/bot/standin"
)

func TestCheck(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	if out, _ := h.run(1, "check"); !strings.Contains(out, "WRONG token") || !strings.Contains(out, "locales") ||
		!strings.Contains(out, "zones") {
		t.Errorf("check: %s", out)
	}
	corrupt := newHost(t)
	if err := os.WriteFile(filepath.Join(corrupt.dir, "d.db"), bytes.Repeat([]byte("not a database "), 500),
		0o600); err != nil {
		t.Fatal(err)
	}
	if out, _ := corrupt.run(1, "check"); !strings.Contains(out, "WRONG store") {
		t.Errorf("a corrupt file passes: %s", out)
	}
}

// check changes nothing: it makes no file where there is none.
func TestCheckMakesNoFile(t *testing.T) {
	t.Parallel()
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token)
	if out, _ := h.run(1, "check"); !strings.Contains(out, "no file yet") {
		t.Errorf("check: %s", out)
	}
	if left, err := os.ReadDir(h.dir); err != nil || len(left) > 0 {
		t.Errorf("it left %v, %v", left, err)
	}
}
