package main

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A paper diary through the command: a line a night in both formats, in the
// language asked for, and nothing past a bad row.
func TestReplayCommand(t *testing.T) {
	h := newHost(t)
	diary := filepath.Join(h.dir, "diary.csv")
	write := func(text string) {
		if err := os.WriteFile(diary, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	args := []string{"replay", "-plan", "../testdata/setup/quiet.toml", "-diary", diary}
	write("night,worn,hours,snoring,reporter,pain,pain_gone,guide,bite_minutes,setting\n" +
		"2026-03-02,all,7,8,partner,0,,yes,10,0\n2026-03-03,all,7,8,partner,0,,yes,10,0\n2026-03-04,all,7,8,partner,0,,yes,10,0\n2026-03-05,,,,,,,,,1\n")
	out, _ := h.run(0, append(args, "-format", "json")...)
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if len(lines) != 4 {
		t.Fatalf("%d lines: %s", len(lines), out)
	}
	var l map[string]any
	if err := json.Unmarshal([]byte(lines[3]), &l); err != nil {
		t.Fatal(err)
	}
	if keys := slices.Sorted(maps.Keys(l)); strings.Join(keys,
		" ") != "action fired flags from_steps mm night percent reason rule state to_steps" {
		t.Errorf("a line has %v", keys)
	}
	if !strings.Contains(lines[3], `"fired":["P18"]`) || !strings.Contains(lines[3], `"flags":[]`) {
		t.Error(lines[3])
	}
	for key, want := range map[string]any{"night": "2026-03-05", "action": "forward", "rule": "P18", "state": "stepping",
		"from_steps": 0.0, "to_steps": 1.0, "mm": 4.25, "percent": 53.1,
		"reason": "Your nights and mornings went well. It is time for one step."} {
		if l[key] != want {
			t.Errorf("%s: %v, want %v", key, l[key], want)
		}
	}
	if out, _ = h.run(0, append(args, "-lang", "es")...); !strings.Contains(out, "Es hora de un paso.") ||
		!strings.Contains(out, "4.25") {
		t.Error(out)
	}
	write("night,pain\n2026-03-02,0\n2026-03-03,eleven\n2026-03-04,0\n")
	out, errs := h.run(1, args...)
	if !strings.Contains(out, "2026-03-02") || strings.Contains(out, "2026-03-03") ||
		!strings.Contains(errs, "line 3, column pain") {
		t.Errorf("%s%s", out, errs)
	}
	write("night,desk_event\n2026-03-02,visit 99\n")
	if _, errs = h.run(1, args...); !strings.Contains(errs, "line 2") || !strings.Contains(errs, "signed limits") {
		t.Error(errs)
	}
	write("night,worn\n2028-03-02,all\n")
	if out, errs = h.run(0, args...); !strings.Contains(errs, "plan: it ends on 2026-") || !strings.Contains(out, "P01") {
		t.Error(out, errs)
	}
	if _, errs := h.run(0, args...); !strings.Contains(errs, "not for setting a patient's plan") {
		t.Errorf("no caution: %q", errs)
	}
	write("pain\n")
	h.run(1, args...)
	h.run(1, "replay", "-plan", "none.toml", "-diary", diary)
	h.run(1, append(args, "-lang", "xx")...)
	h.run(2, "replay", "-plan", "x")
	h.run(1, "replay", "-plan", "x", "-diary", "none.csv")
}

// What the README shows of a replay is what the command prints.
func TestReadmeReplay(t *testing.T) {
	raw, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, found := strings.Cut(string(raw), "    ./duskdawn replay -plan testdata/setup/quiet.toml -diary testdata/diary/paper.csv\n\n")
	if !found {
		t.Fatal("the README shows no replay")
	}
	shown, _, _ := strings.Cut(after, "\n\n")
	out, _ := newHost(t).run(0, "replay", "-plan", "../testdata/setup/quiet.toml", "-diary", "../testdata/diary/paper.csv")
	var want []string
	for line := range strings.Lines(out) {
		want = append(want, "    "+strings.TrimRight(line, "\n"))
	}
	if shown != strings.Join(want, "\n") {
		t.Errorf("the README shows\n%s\nand the command prints\n%s", shown, strings.Join(want, "\n"))
	}
}
