package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"duskdawn/bot/talktest"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// A patient of a talk on SQLite, exported to a folder by the command and
// replayed by the command: from the course, and from the diary with its plan.
func TestExportedCourse(t *testing.T) {
	h := newHost(t)
	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: filepath.Join(h.dir, "d.db")})
	if err != nil {
		t.Fatal(err)
	}
	w := talktest.NewWhole(t, st)
	talktest.LoadOne(t, filepath.Join(talktest.TalksDir, "soreness.txt")).Play(t, w, locales.KeyLang, false)
	var p flows.Patient
	for s, err := range st.List(t.Context(), store.Query{}) {
		w.Must(err)
		p = w.Patient(chart.PatientID(s.Ref.ID))
	}
	w.Close()
	if p.Course.Advices < 10 {
		t.Fatalf("only %d advices", p.Course.Advices)
	}

	dir := filepath.Join(h.dir, "out")
	out, _ := h.run(0, "export", "-patient", string(p.ID), "-to", dir)
	course, diary := filepath.Join(dir, "course.jsonl"), filepath.Join(dir, "diary.csv")
	if !strings.Contains(out, course) || !strings.Contains(out, diary) {
		t.Error(out)
	}
	raw, err := os.ReadFile(course)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(course); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others may read it: %v, %v", info.Mode(), err)
	}
	for _, name := range []string{"course.jsonl", "diary.csv", "diary.json"} {
		one, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || strings.Contains(string(one), p.Label) || !strings.Contains(string(one), string(p.ID)) {
			t.Errorf("%s does not know the patient by the pseudonym alone: %v", name, err)
		}
	}
	if out, _ := h.run(0, "export", "-patient", string(p.ID), "-format", "course"); out != string(raw) {
		t.Error("standard output and the file are not the same")
	}
	h.run(1, "export", "-patient", string(p.ID), "-to", dir) // nothing is overwritten

	fromCourse, _ := h.run(0, "replay", "-course", course, "-format", "json")
	if n := strings.Count(fromCourse, "\n"); n != int(p.Course.Advices) {
		t.Errorf("%d lines, %d advices", n, p.Course.Advices)
	}
	if again, _ := h.run(0, "replay", "-diary", course, "-format", "json"); again != fromCourse {
		t.Error("a course is not known by how it begins")
	}
	plan := filepath.Join(h.dir, "plan.toml")
	write(t, plan, talktest.File(t, "plan.toml", map[string]string{"fitted": p.Plan.Fitted.String()}))
	if same, _ := h.run(0, "replay", "-course", course, "-plan", plan, "-format", "json"); same != fromCourse {
		t.Error("the plan that was signed gives something else")
	}
	slow := filepath.Join(h.dir, "slow.toml")
	write(t, slow, talktest.File(t, "plan.toml", map[string]string{"settle": "14", "interval": "5"}))
	if other, _ := h.run(0, "replay", "-course", course, "-plan", slow, "-format", "json"); other == fromCourse ||
		strings.Contains(strings.SplitN(other, "\n", 9)[7], "forward") {
		t.Error("slower limits give the same")
	}
	fromDiary, _ := h.run(0, "replay", "-plan", plan, "-diary", diary, "-format", "json")
	for line := range strings.Lines(fromCourse) {
		if !strings.Contains(fromDiary, line) {
			t.Errorf("the diary does not give %s", line)
		}
	}

	// Estimates come after the nights, the same of the course and of its diary; among
	// twenty ended courses the pace has its place, the evenings of all add up.
	plain, _ := h.run(0, "replay", "-course", course)
	withCourse, _ := h.run(0, "replay", "-course", course, "-estimate")
	withDiary, _ := h.run(0, "replay", "-plan", plan, "-diary", diary, "-estimate")
	said, after := strings.CutPrefix(withCourse, plain+"\n")
	if !after || !strings.HasPrefix(said, "Estimates for the clinician.") || !strings.HasSuffix(withDiary, said) ||
		!strings.Contains(said, "Snoring, not apnoea") || strings.Contains(said, "Pace:") {
		t.Errorf("by the course\n%s\nby the diary\n%s", withCourse, withDiary)
	}
	args := []string{"replay", "-course", course, "-estimate"}
	for range 20 {
		args = append(args, "-among", course)
	}
	if out, _ := h.run(0, args...); !strings.Contains(out, "than 50 % of the practice's 20 ended courses") ||
		!strings.Contains(out, "All 21 courses together:") {
		t.Errorf("among its like: %s", out)
	}
	if out, _ := h.run(0, "replay", "-course", course, "-estimate", "-format", "json"); !strings.Contains(out, `{"estimates":["Estimates for`) {
		t.Error(out)
	}
	h.run(2, "replay", "-course", course, "-among", course)
	h.run(1, "replay", "-course", course, "-estimate", "-among", diary)

	// What was altered, cut or does not fit is said.
	bad := filepath.Join(h.dir, "bad.jsonl")
	write(t, bad, []byte(strings.Replace(string(raw), `"action":"forward","to":1`, `"action":"forward","to":2`, 1)))
	if out, errs := h.run(1, "replay", "-course", bad, "-format", "json"); out != fromCourse ||
		!strings.Contains(errs, "1 advices are not as they were given") || !strings.Contains(errs, "forward 2") {
		t.Errorf("%s%s", out, errs)
	}
	// What other rules gave is no error: the change of version is named, and how many.
	now := fmt.Sprintf(`"rules":%d`, scheduler.RulesVersion)
	write(t, bad, []byte(strings.NewReplacer(now, `"rules":1`, `"action":"forward","to":1`, `"action":"forward","to":2`).Replace(string(raw))))
	if out, errs := h.run(0, "replay", "-course", bad, "-format", "json"); out != fromCourse ||
		!strings.Contains(errs, "from event 1 on") || !strings.Contains(errs, "by version 1 of the rules") ||
		!strings.Contains(errs, "1 advices of other versions of the rules") {
		t.Errorf("%s%s", out, errs)
	}
	if _, errs := h.run(0, "replay", "-course", course); strings.Contains(errs, "version") {
		t.Error(errs)
	}
	// Where the program was changed in mid-course both versions are named, each by its first event.
	lines := strings.SplitAfter(string(raw), "\n")
	lines[1] = strings.Replace(lines[1], now, `"rules":1`, 1)
	lines[len(lines)/2] = strings.Replace(lines[len(lines)/2], `"kind"`, now+`,"kind"`, 1)
	write(t, bad, []byte(strings.Join(lines, "")))
	if out, errs := h.run(0, "replay", "-course", bad, "-format", "json"); out != fromCourse ||
		!strings.Contains(errs, "from event 1 on") || strings.Count(errs, "from event") != 2 ||
		!strings.Contains(errs, fmt.Sprintf("by version %d of the rules", scheduler.RulesVersion)) {
		t.Errorf("%s%s", out, errs)
	}
	write(t, bad, raw[:len(raw)-20])
	if _, errs := h.run(1, "replay", "-course", bad); !strings.Contains(errs, "line ") {
		t.Error(errs)
	}
	write(t, bad, []byte("{}\n"))
	if out, errs := h.run(1, "replay", "-diary", bad); out != "" || !strings.Contains(errs, "line 1") {
		t.Error(errs)
	}
	if _, errs := h.run(1, "replay", "-course", course, "-plan",
		"../testdata/setup/twosided.toml"); !strings.Contains(errs, "another appliance") {
		t.Error(errs)
	}
	if _, errs := h.run(1, "replay", "-diary", diary, "-plan", plan, "-plan",
		"../testdata/setup/twosided.toml"); !strings.Contains(errs, "another appliance") {
		t.Error(errs)
	}
	h.run(2, "replay", "-course", course, "-plan", plan, "-plan", plan)
	h.run(2, "replay", "-course", course, "-diary", diary)
	h.run(2, "replay", "-diary", diary)
}

func write(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}
