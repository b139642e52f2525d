package main

import (
	"bytes"
	"crypto/sha256"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
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

// check reads, and touches nothing: no byte of the store, no mode of it, no file
// beside it. That others can read the store, or a token, it says.
func TestCheckTouchesNothing(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	path, token := filepath.Join(h.dir, "d.db"), filepath.Join(t.TempDir(), "token")
	if err := os.WriteFile(token, []byte(standin.Token), 0o644); err != nil {
		t.Fatal(err)
	}
	h.env = append(h.env, "DUSKDAWN_TOKEN_FILE="+token)
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	state := func() (out string) {
		files, err := os.ReadDir(h.dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			info, err := f.Info()
			raw, no := os.ReadFile(filepath.Join(h.dir, f.Name()))
			if err != nil || no != nil {
				t.Fatal(err, no)
			}
			out += fmt.Sprintf("%s %v %v %x\n", f.Name(), info.Mode(), info.ModTime(), sha256.Sum256(raw))
		}
		return out
	}
	before := state()
	out, errs := h.run(1, "check") // no clinician has joined
	if after := state(); after != before {
		t.Errorf("before:\n%s\nafter:\n%s", before, after)
	}
	if !strings.Contains(out, "rows: every one is as it was stored") || !strings.Contains(out, "warn  store: others on this machine can read") {
		t.Errorf("check: %s", out)
	}
	if !strings.Contains(errs, "DUSKDAWN_TOKEN_FILE: Others on this machine can read or change "+token+" (mode 0644)") {
		t.Errorf("check says of the token: %s", errs)
	}
	if _, errs := h.run(0, "staff", "list"); !strings.Contains(errs, "DUSKDAWN_TOKEN_FILE") {
		t.Errorf("another command says of the token: %s", errs)
	}
	if err := os.Chmod(token, 0o640); err != nil {
		t.Fatal(err)
	}
	if _, errs := h.run(1, "check"); strings.Contains(errs, "DUSKDAWN_TOKEN_FILE") {
		t.Errorf("of a token that nobody else can read: %s", errs)
	}
	key := filepath.Join(t.TempDir(), "key.pem")
	if err := os.WriteFile(key, []byte("no key"), 0o644); err != nil {
		t.Fatal(err)
	}
	h.env[0] = "DUSKDAWN_STORE=rediss://127.0.0.1:1?cert=" + key + "&key=" + key
	if _, errs := h.run(1, "check"); !strings.Contains(errs, "DUSKDAWN_STORE: Others on this machine can read or change "+key) {
		t.Errorf("check says of the key: %s", errs)
	}
}

// A device in the store's place is refused by every command, and keeps its mode.
func TestADeviceIsNoStore(t *testing.T) {
	t.Parallel()
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token)
	h.env[0] = "DUSKDAWN_STORE=sqlite:" + os.DevNull
	before, err := os.Stat(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"check"}, {"serve"}, {"staff", "list"}, {"backup", "-to", filepath.Join(h.dir, "x")}} {
		if out, errs := h.run(1, args...); !strings.Contains(out+errs, "is no regular file") {
			t.Errorf("%v: %s%s", args, out, errs)
		}
	}
	if after, err := os.Stat(os.DevNull); err != nil || after.Mode() != before.Mode() {
		t.Errorf("its mode was %v and is %v, %v", before.Mode(), after.Mode(), err)
	}
	if _, err := os.Stat(os.DevNull + ".lock"); err == nil {
		t.Error("a lock lies beside it")
	}
}

// One bit of a patient's body: check names the row.
func TestCheckNamesADamagedRow(t *testing.T) {
	t.Parallel()
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token)
	h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	db, err := sql.Open("sqlite", "file:"+filepath.Join(h.dir, "d.db"))
	if err != nil {
		t.Fatal(err)
	}
	var ref string
	var body []byte
	if err := db.QueryRow("SELECT ref, body FROM aggregate WHERE ref LIKE 'X%'").Scan(&ref, &body); err != nil {
		t.Fatal(err)
	}
	body[len(body)/2] ^= 1
	if _, err := db.Exec("UPDATE aggregate SET body = ? WHERE ref = ?", body, ref); err != nil {
		t.Fatal(err)
	}
	db.Close()
	if out, _ := h.run(1, "check"); !strings.Contains(out, `WRONG rows: "body `+ref+`"`) {
		t.Errorf("check: %s", out)
	}
	copied := filepath.Join(h.dir, "copy.db")
	out, errs := h.run(1, "backup", "-to", copied)
	if strings.Contains(out, "is whole") || !strings.Contains(errs, "damaged rows of the store in it (1)") {
		t.Errorf("backup: %s%s", out, errs)
	}
	if _, err := os.Stat(copied); err != nil {
		t.Error("what still can be read is not copied: ", err)
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

// A label names one person, and the rota names people who are there.
func TestLabelsOfStaff(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	if out, errs := h.run(1, "staff", "add", "-role", "assistant", "-label", " dr marsh"); !strings.Contains(out+errs, "called so already") {
		t.Errorf("a second equal label: %s %s", out, errs)
	}
	out, _ := h.run(0, "staff", "add", "-role", "assistant", "-label", "Teal")
	if checked, _ := h.run(1, "check"); !strings.Contains(checked, `the rota names "Ondine"`) {
		t.Errorf("a rota of nobody passes: %s", checked)
	}
	if !strings.Contains(out, "(Europe/Madrid)") {
		t.Errorf("until when, in whose time? %s", out)
	}
}

// Who covers and leaves no clinician on duty is warned of, with the days.
func TestCheckWarnsOfGaps(t *testing.T) {
	t.Parallel()
	zone, err := scheduler.NewZones().Load("Europe/Madrid")
	if err != nil {
		t.Fatal(err)
	}
	day := zone.Wall(time.Now()).Date + 3
	pr := practice.Practice{Zone: "Europe/Madrid", Staff: []practice.Staff{{ID: "c", Label: "Ondine", Role: practice.Clinician, Chat: 1},
		{ID: "a", Label: "Teal", Role: practice.Assistant, Chat: 2}}, Covers: []practice.Cover{{From: day, To: day, Who: "a"}}}
	var out bytes.Buffer
	warnGaps(app{out: &out}, &pr)
	if want := "no clinician is on duty from " + day.String() + " 00:00 to " + (day + 1).String() + " 00:00"; !strings.Contains(out.String(), want) {
		t.Errorf("%q, want %q", out.String(), want)
	}
}
