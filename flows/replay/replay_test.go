package replay

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
)

// plan is the integration example of the default protocol: 4.0 mm of 8.0,
// ceiling 5.6, steps of 0.25, settle 7, interval 3.
func plan() chart.Enrolment {
	return chart.Enrolment{
		Appliance: chart.Appliance{Step: 250, Travel: 20, Guide: true},
		Baseline:  chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual, Start: 4000, Pain: chart.Num(0), Reporter: chart.Num(chart.ReporterPartner)},
		Plan:      chart.Plan{Limits: chart.Limits{Ceiling: 6, Settle: 7, Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}},
	}
}

const head = "night,worn,hours,snoring,reporter,pain,pain_gone,guide,bite_minutes,setting,desk_event\n"

func run(t *testing.T, e chart.Enrolment, diary string) ([]Line, error) {
	t.Helper()
	rows, bad := Read(strings.NewReader(diary))
	var out []Line
	err := New(e).Each(rows, func(l Line) error {
		out = append(out, l)
		return nil
	})
	return out, errors.Join(bad, err)
}

// obedient writes n nights of a patient who does as told; pain on one of them.
func obedient(t *testing.T, n, sore, pain int) string {
	t.Helper()
	diary, setting := head, 0
	for night := 1; night <= n; night++ {
		day := civil.DateOf(2026, 3, 1) + civil.Date(night)
		p, gone := 0, ""
		if night == sore {
			p, gone = pain, "midday"
		}
		row := func(at int) string {
			return fmt.Sprintf("%v,all,7.5,6,partner,%d,%s,yes,10,%d,\n", day, p, gone, at)
		}
		lines, err := run(t, plan(), diary+row(setting))
		if err != nil {
			t.Fatal(err)
		}
		if last := lines[len(lines)-1]; last.Action != "leave_out" {
			setting = last.To
		}
		diary += row(setting)
	}
	return diary
}

// The integration example on paper: advances on nights 8, 11, 14, 17, 20, 23,
// pain 6 after night 23, back on 24, rest over on 27, forward on 30 (derived
// from the protocol's defaults: common practice, no source).
func TestIntegrationExample(t *testing.T) {
	lines, err := run(t, plan(), obedient(t, 30, 23, 6))
	if err != nil {
		t.Fatal(err)
	}
	var forward []int
	for i, l := range lines {
		if l.Action == "forward" {
			forward = append(forward, i+1)
		}
	}
	if want := []int{8, 11, 14, 17, 20, 23, 30}; !slices.Equal(forward, want) {
		t.Errorf("advances on nights %v, want %v", forward, want)
	}
	if l := lines[22]; l.To != 6 || l.MM != 5.5 || l.Percent != 68.8 || l.From != 5 {
		t.Errorf("%+v", l)
	}
	if l := lines[23]; l.Action != "go_back" || l.Rule != "P07" || l.From != 6 || l.To != 5 || l.MM != 5.25 ||
		l.State != "resting" || !slices.Contains(l.Fired, "P07") {
		t.Errorf("%+v", l)
	}
	if lines[25].State != "resting" || lines[26].State != "stepping" || lines[26].Rule != "P15" {
		t.Errorf("%+v", lines[26])
	}
}

// The same morning with pain 8: left out, nothing said of a position, S.
func TestSeverePain(t *testing.T) {
	lines, err := run(t, plan(), obedient(t, 24, 23, 8))
	if err != nil {
		t.Fatal(err)
	}
	if l := lines[23]; l.Action != "leave_out" || l.Rule != "P04" || l.To != l.From || len(l.Flags) != 1 ||
		l.Flags[0] != (Raised{"pain.severe", "S"}) || l.State != "stopped" {
		t.Errorf("%+v", l)
	}
}

// Nights without a row are unknown: every calendar night has its line.
func TestMissingNights(t *testing.T) {
	lines, err := run(t, plan(), head+"2026-03-02,all,7,6,partner,0,,yes,10,0,\n2026-03-05,all,7,6,partner,0,,yes,10,0,\n")
	if err != nil || len(lines) != 4 || lines[2].Night != "2026-03-04" || lines[2].Action != "stay" ||
		!slices.Contains(lines[2].Fired, "P11") {
		t.Errorf("%v, %v", lines, err)
	}
}

// What the desk did comes before that evening's advice.
func TestDeskEvents(t *testing.T) {
	row := func(day int, event string) string {
		return fmt.Sprintf("2026-03-%02d,all,7,6,partner,0,,yes,10,%d,%s\n", day, 3, event)
	}
	lines, err := run(t, plan(), head+row(2, "visit 3")+row(3, "pause")+row(4, "resume; plan")+row(5, "test")+row(6,
		"order 5")+row(7, "GRANT 6"))
	if err != nil {
		t.Fatal(err)
	}
	var states []string
	for _, l := range lines {
		states = append(states, l.State)
	}
	if want := []string{"settling", "paused", "settling", "testing", "stepping", "stepping"}; !slices.Equal(states, want) {
		t.Errorf("%v", states)
	}
	if lines[0].To != 3 {
		t.Errorf("%+v", lines[0])
	}
	lines, err = run(t, plan(), head+"2026-03-02,all,7,6,partner,9,,yes,10,0,\n2026-03-03,no,,,,,,,,,\n2026-03-04,all,7,6,partner,0,,yes,10,0,release 0\n")
	if err != nil || lines[2].State != "resting" || len(lines[2].Flags) != 0 || len(lines[1].Flags) != 1 {
		t.Errorf("%+v, %v", lines, err)
	}
}

// What the rules do not allow ends the replay there.
func TestRefusedEvents(t *testing.T) {
	for event, why := range map[string]pacing.Refusal{"visit 7": pacing.RefuseLimits, "release 0": pacing.RefuseNone,
		"grant 9": pacing.RefuseLimits, "resume": pacing.RefuseNone} {
		lines, err := run(t, plan(), head+"2026-03-02,all,7,6,partner,0,,yes,10,0,\n2026-03-03,all,7,6,partner,0,,yes,10,0,"+
			event+"\n")
		var no *Refused
		if !errors.As(err, &no) || no.Why != why || no.Line != 3 || len(lines) != 1 || no.Said != event ||
			!strings.Contains(err.Error(), event) {
			t.Errorf("%s: %v, %d lines", event, err, len(lines))
		}
	}
}

// Two sides, or one that stands for both as signed.
func TestTwoSides(t *testing.T) {
	e := plan()
	e.Appliance.TwoSided, e.Appliance.Offset = true, 1
	lines, err := run(t, e, "night,setting_left,setting_right\n2026-03-02,0,1\n2026-03-03,0,0\n2026-03-04,,\n")
	if err != nil || slices.Contains(lines[1].Fired, "P05") || lines[2].Rule != "P05" {
		t.Errorf("%+v, %v", lines, err)
	}
	if lines, err = run(t, e, "setting,night\n0,2026-03-02\n0,2026-03-03\n"); err != nil ||
		slices.Contains(lines[1].Fired, "P05") {
		t.Errorf("%+v, %v", lines, err)
	}
}

// Bad rows: line, column, what was expected; nothing is advised past one.
func TestBadDiaries(t *testing.T) {
	for _, x := range []struct {
		diary, column string
		line, lines   int
	}{
		{"", "", 1, 0},
		{"worn\nall\n", "", 1, 0},
		{"night,mood\n", "2", 1, 0},
		{"night,night\n", "night", 1, 0},
		{"night,setting,setting_left\n", "setting", 1, 0},
		{"night\n", "", 2, 0},
		{"night,pain\n2026-03-02,1\n2026-03-03,11\n", "pain", 3, 1},
		{"night,pain\n2026-03-02,3-4\n", "pain", 2, 0},
		{"night,pain\n2026-03-02,1\n2026-03-02,1\n", "night", 3, 1},
		{"night,pain\n2026-02-30,1\n", "night", 2, 0},
		{"night,pain\n2026-03-02\n", "", 2, 0},
		{"night\n0001-01-01\n", "night", 2, 0},
		{"night\n2026-03-02\n2066-03-02\n", "night", 3, 1},
		{"night,worn\n2026-03-02,\"all\n", "", 2, 0},
		{"night,desk_event\n2026-03-02,dance\n", "desk_event", 2, 0},
		{"night,desk_event\n2026-03-02,visit\n", "desk_event", 2, 0},
		{"night,desk_event\n2026-03-02,visit x\n", "desk_event", 2, 0},
		{"night,desk_event\n2026-03-02,plan 3\n", "desk_event", 2, 0},
	} {
		lines, err := run(t, plan(), x.diary)
		var bad *BadCell
		if !errors.As(err, &bad) || bad.Line != x.line || bad.Column != x.column || bad.Want == "" || len(lines) != x.lines {
			t.Errorf("%q: %v, %d lines", x.diary, err, len(lines))
		}
	}
	if _, err := Read(broken{}); err == nil {
		t.Error("a reader that fails")
	}
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("disk") }

// A yield that fails ends it.
func TestYieldEnds(t *testing.T) {
	rows, err := Read(strings.NewReader("night\n2026-03-02\n2026-03-09\n"))
	if err != nil {
		t.Fatal(err)
	}
	stop, n := errors.New("stop"), 0
	if err := New(plan()).Each(rows, func(Line) error { n++; return stop }); err != stop || n != 1 {
		t.Errorf("%v after %d", err, n)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(head + "2026-03-02,all,7,6,partner,0,,yes,10,0,visit 3; plan\n")
	f.Add("night,pain\n2026-03-02,\"1\n")
	f.Add("night,pain,came_late,evening,desk_event\n2026-03-02,3,pain 2026-03-04 was 1 | desk_event after 2026-03-02,unanswered held,visit 3\n2026-03-04,,,no_advice,\n")
	f.Fuzz(func(t *testing.T, diary string) {
		rows, err := Read(strings.NewReader(diary))
		if err == nil && len(rows) == 0 {
			t.Error("nothing, and no error")
		}
		if len(rows) > 0 && rows[len(rows)-1].Night-rows[0].Night < 200 {
			New(plan()).Each(rows, func(l Line) error {
				if l.Action == "none" || l.Reason == "" {
					t.Errorf("%+v", l)
				}
				return nil
			})
		}
	})
}
