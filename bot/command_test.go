package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/flows/chart"
	"duskdawn/scheduler"
	"duskdawn/store/sqlite"
)

// host is a machine with an empty store and the sample practice.
type host struct {
	t       *testing.T
	env     []string
	dir     string
	refused time.Duration // as app has it
}

func newHost(t *testing.T, env ...string) *host {
	dir := t.TempDir()
	return &host{t: t, env: append([]string{"DUSKDAWN_STORE=sqlite:" + filepath.Join(dir, "d.db"),
		"DUSKDAWN_PRACTICE=../testdata/setup/practice.toml"}, env...), dir: dir}
}

// run runs a command and wants this exit code.
func (h *host) run(code int, args ...string) (out, errs string) {
	h.t.Helper()
	var o, e bytes.Buffer
	if got := run(context.Background(), app{out: &o, err: &e, in: strings.NewReader(""), env: h.env, refused: h.refused}, args); got != code {
		h.t.Fatalf("%v ended with %d, want %d\n%s%s", args, got, code, o.String(), e.String())
	}
	return o.String(), e.String()
}

func TestHelp(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	if _, errs := h.run(0); !strings.Contains(errs, "rehearse") || !strings.Contains(errs, "serve") {
		t.Errorf("the help names no commands: %s", errs)
	}
	if _, errs := h.run(2, "dance"); !strings.Contains(errs, "dance") {
		t.Error("an unknown command is not named")
	}
	if _, errs := h.run(0, "help", "backup"); !strings.Contains(errs, "-to") {
		t.Errorf("help does not tell of the one command: %s", errs)
	}
	for _, c := range commands() {
		args := []string{c.name, "-h"}
		if c.name == "staff" {
			args = []string{"staff", "add", "-h"}
		}
		if _, errs := h.run(0, args...); errs == "" {
			t.Errorf("%s has no help", c.name)
		}
	}
}

// The owner halts the rules and lifts the halt; both are kept, and said once.
func TestHalt(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	for _, args := range [][]string{{"halt", "-rules"}, {"backup", "-to", filepath.Join(h.dir, "copy.db")}} {
		if _, errs := h.run(1, args...); !strings.Contains(errs, "is the name right") {
			t.Errorf("%q on a store of another name: %s", args, errs)
		}
	}
	if left, err := os.ReadDir(h.dir); err != nil || len(left) > 0 {
		t.Errorf("they left %v, %v", left, err)
	}
	h.run(0, "staff", "list")
	if out, _ := h.run(0, "halt"); !strings.Contains(out, "in force") {
		t.Errorf("before: %s", out)
	}
	if out, _ := h.run(0, "halt", "-rules"); !strings.Contains(out, "are halted") || !strings.Contains(out, "halt -lift") {
		t.Errorf("halted: %s", out)
	}
	h.run(0, "staff", "list") // reads the practice file anew
	if out, _ := h.run(0, "halt"); !strings.Contains(out, "are halted") {
		t.Errorf("the halt was not kept: %s", out)
	}
	if out, _ := h.run(0, "halt", "-lift"); !strings.Contains(out, "in force") {
		t.Errorf("lifted: %s", out)
	}
	h.run(2, "halt", "-rules", "-lift")
}

// serve never falls back to a rehearsal by itself: it stops, and names what is missing.
func TestServeWithoutAToken(t *testing.T) {
	t.Parallel()
	if _, errs := newHost(t).run(1, "serve"); !strings.Contains(errs, "DUSKDAWN_TOKEN") {
		t.Errorf("it does not name the setting: %s", errs)
	}
}

// Without a practice nobody could be answered: no zone, no telephone, no staff.
func TestServeWithoutAPractice(t *testing.T) {
	t.Parallel()
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API=http://127.0.0.1:1")
	h.env[1] = "DUSKDAWN_PRACTICE="
	if _, errs := h.run(1, "serve"); !strings.Contains(errs, "DUSKDAWN_PRACTICE") {
		t.Errorf("it does not name the setting: %s", errs)
	}
	if out, _ := h.run(1, "check"); !strings.Contains(out, "WRONG practice") || strings.Contains(out, "map[") {
		t.Errorf("check: %s", out)
	}
}

func TestWrongSettingsAreNamed(t *testing.T) {
	t.Parallel()
	if _, errs := newHost(t, "DUSKDAWN_STROE=x").run(1, "export", "-patient", "K"); !strings.Contains(errs,
		"DUSKDAWN_STROE") {
		t.Errorf("a misspelt setting passes: %s", errs)
	}
	if _, errs := newHost(t, "DUSKDAWN_STORE=paper:x").run(1, "staff", "list"); !strings.Contains(errs, "DUSKDAWN_STORE") {
		t.Errorf("a store of no kind passes: %s", errs)
	}
	if _, errs := newHost(t, "DUSKDAWN_TOKEN=nonsense").run(1, "serve"); errs == "" || strings.Contains(errs, "nonsense") {
		t.Errorf("a malformed token is not refused, or is printed: %s", errs)
	}
}

func TestStaffComeAndGo(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	if out, _ := h.run(0, "staff", "list"); !strings.Contains(out, "staff add") {
		t.Errorf("an empty list does not say how to begin: %s", out)
	}
	out, _ := h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	id := regexp.MustCompile(`id\s+(s\w+)`).FindStringSubmatch(out)
	code := regexp.MustCompile(`code\s+(S0\w{12})`).FindStringSubmatch(out)
	if id == nil || code == nil {
		t.Fatalf("no id or code: %s", out)
	}
	st, err := os.ReadFile(filepath.Join(h.dir, "d.db"))
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(st, []byte(code[1])) {
		t.Error("the code is stored as it is typed")
	}
	if out, _ := h.run(0, "staff", "list"); !strings.Contains(out, "Dr Marsh") ||
		!strings.Contains(out, "has not joined") {
		t.Errorf("list: %s", out)
	}
	h.run(2, "staff", "add", "-role", "king", "-label", "X")
	h.run(2, "staff", "add", "-role", "clinician")
	h.run(1, "staff", "add", "-role", "clinician", "-label", "X", "-lang", "xx")
	h.run(1, "staff", "remove", "-id", "s00000000")
	if _, errs := h.run(2, "staff", "remove"); !strings.Contains(errs, "-id") {
		t.Errorf("remove without an id: %s", errs)
	}
	h.run(0, "staff", "remove", "-id", id[1])
	if out, _ := h.run(0, "staff", "list"); !strings.Contains(out, "removed") {
		t.Errorf("list: %s", out)
	}
	h.run(1, "staff", "remove", "-id", id[1])
	h.run(2, "staff")
	h.run(2, "staff", "dance")
}

func TestEnrolAndExport(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	out, _ := h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	doctor := regexp.MustCompile(`id\s+(s\w+)`).FindStringSubmatch(out)[1]
	out, _ = h.run(0, "staff", "add", "-role", "assistant", "-label", "Desk")
	assistant := regexp.MustCompile(`id\s+(s\w+)`).FindStringSubmatch(out)[1]

	plan := filepath.Join("..", "testdata", "setup", "quiet.toml")
	if out, _ := h.run(0, "enrol", "-plan", plan); !strings.Contains(out, "Nothing is kept") {
		t.Errorf("without -sign: %s", out)
	}
	raw, err := os.ReadFile(plan)
	if err != nil {
		t.Fatal(err)
	}
	old := filepath.Join(h.dir, "old.toml")
	if err := os.WriteFile(old, bytes.ReplaceAll(raw, []byte("= 2026-"), []byte("= 2025-")), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, errs := h.run(0, "enrol", "-plan", old); !strings.Contains(errs, "2025 is over") || !strings.Contains(errs, "2025 is more than a year ago") {
		t.Errorf("a plan that is over is signed without a word: %s", errs)
	}
	h.run(1, "enrol", "-plan", plan, "-sign", "-clinician", assistant)
	h.run(1, "enrol", "-plan", plan, "-sign")
	h.run(1, "enrol", "-plan", plan, "-clinician", assistant) // before she reads what she cannot sign
	out, _ = h.run(0, "enrol", "-plan", plan, "-sign", "-clinician", doctor)
	id := regexp.MustCompile(`(?m)^patient\s+(\S+)`).FindStringSubmatch(out)
	if id == nil {
		t.Fatal(out)
	}
	h.run(1, "enrol", "-plan", plan, "-sign", "-clinician", doctor) // the label is taken
	bad := filepath.Join(h.dir, "bad.toml")
	raw, err = os.ReadFile(plan)
	if err != nil {
		t.Fatal(err)
	}
	raw = regexp.MustCompile(`(?m)^step-mm\s*=.*$`).ReplaceAll(raw, []byte("step-mm = 1.01"))
	if err := os.WriteFile(bad, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	// The definition of an adjustable appliance: steps of 1 mm or less (from
	// memory of doi 10.15331/jdsm.3738; read in a payer's article).
	if _, errs := h.run(1, "enrol", "-plan", bad, "-sign", "-clinician", doctor); !strings.Contains(errs, "step-mm") ||
		!strings.Contains(errs, "line ") {
		t.Errorf("a step of 1.01 mm: %s", errs)
	}

	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: filepath.Join(h.dir, "d.db")})
	if err != nil {
		t.Fatal(err)
	}
	g, err := program.Build(t.Context(), program.Parts{Store: st, Clock: scheduler.RealClock{}})
	if err != nil {
		t.Fatal(err)
	}
	one, err := g.Patient(t.Context(), chart.PatientID(id[1]))
	if err != nil || one.Course.State != chart.Invited {
		t.Errorf("the patient is %s, %v", one.Course.State, err)
	}
	st.Close()

	for _, who := range []string{id[1], one.Label, strings.ToLower(one.Label)} {
		out, _ := h.run(0, "export", "-patient", who, "-format", "csv")
		if rows, err := csv.NewReader(strings.NewReader(out)).ReadAll(); err != nil || len(rows) < 1 {
			t.Errorf("export of %q: %v", who, err)
		}
		out, _ = h.run(0, "export", "-patient", who, "-format", "json")
		if !json.Valid([]byte(out)) {
			t.Errorf("export of %q is no JSON", who)
		}
		out, _ = h.run(0, "export", "-patient", who, "-format", "course")
		course := filepath.Join(t.TempDir(), "course.jsonl")
		write(t, course, []byte(out))
		if out, _ := h.run(0, "replay", "-course", course); !strings.Contains(out, "no advice was given yet") {
			t.Errorf("a course without an advice: %s", out)
		}
	}
	h.run(1, "export", "-patient", "nobody")
	h.run(2, "export")
	h.run(2, "export", "-patient", "x", "-format", "pdf")
}

func TestBackup(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	to := filepath.Join(h.dir, "copy.db")
	h.run(0, "backup", "-to", to)
	h.run(1, "backup", "-to", to) // a copy never overwrites
	h.run(2, "backup")
	h.env[0] = "DUSKDAWN_STORE=sqlite:" + to
	h.env[1] = "DUSKDAWN_PRACTICE="
	if out, _ := h.run(0, "staff", "list"); !strings.Contains(out, "Dr Marsh") {
		t.Errorf("the copy knows %s", out)
	}
}

// Two programs must not serve from one file.
func TestServeHoldsTheStoreAlone(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "d.db")
	first, err := program.OpenStore(t.Context(), setup.Secret("sqlite:"+path), true)
	if err != nil {
		t.Fatal(err)
	}
	defer first.Close()
	if _, err := program.OpenStore(t.Context(), setup.Secret("sqlite:"+path), true); err == nil ||
		!strings.Contains(err.Error(), "another program") {
		t.Errorf("a second one got in: %v", err)
	}
	beside, err := program.OpenStore(t.Context(), setup.Secret("sqlite:"+path), false)
	if err != nil {
		t.Fatalf("a command beside it cannot work: %v", err)
	}
	beside.Close()
}

// Whoever starts the program can tell an end that a new start would not mend.
func TestExitCodes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		err  error
		want int
	}{{nil, 0}, {flag.ErrHelp, 0}, {errUsage, 2}, {errors.New("x"), 1}, {fmt.Errorf("taking updates: %w", telegram.ErrRevoked), 78}} {
		if got := exitCode(c.err); got != c.want {
			t.Errorf("%v: %d, not %d", c.err, got, c.want)
		}
	}
}
