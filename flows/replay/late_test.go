package replay

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"duskdawn/flows/civil"
)

const lateHead = "night,worn,hours,snoring,reporter,pain,pain_gone,guide,bite_minutes,setting,came_late,evening,desk_event\n"

func day(n int) string { return (civil.DateOf(2026, 3, 1) + civil.Date(n)).String() }

// diary writes easy nights at setting 0; fields of some nights are put in.
func easy(n int, put map[int]string) string {
	var b strings.Builder
	b.WriteString(lateHead)
	for i := 1; i <= n; i++ {
		if row, ok := put[i]; ok {
			b.WriteString(day(i) + "," + row + "\n")
			continue
		}
		b.WriteString(day(i) + ",all,7.5,6,partner,0,,yes,10,0,,,\n")
	}
	return b.String()
}

func actions(lines []Line) (out []string) {
	for _, l := range lines {
		out = append(out, l.Action+" "+l.Rule)
	}
	return out
}

// A cell that came late is unknown to the advice of its evening, and known to
// the one that it names.
func TestCameLate(t *testing.T) {
	sore := "all,7.5,6,partner,6,midday,yes,10,0,"
	for _, x := range []struct{ name, mark, eighth, ninth string }{
		{"in time", ",,", "stay P07", "stay P02"}, // at the start: rest, and a flag that counts from the next evening
		{"next day", "pain " + day(9) + ",,", "stay P11", "stay P07"},
		{"that evening", "pain after " + day(8) + ",,", "stay P11", "stay P07"}, // no more cautious: the advice stands
		{"a correction", "pain " + day(9) + " was 0,,", "forward P18", "stay P07"},
		{"a correction that evening", "pain after " + day(8) + " was 0,,", "go_back P07", "stay P02"},                 // the step was told already
		{"two corrections", "pain " + day(9) + " was 0 | pain " + day(10) + " was 1,,", "forward P18", "forward P18"}, // a 1 by then, of a night that is over
	} {
		lines, err := run(t, plan(), easy(9, map[int]string{7: sore + x.mark}))
		if err != nil {
			t.Fatal(x.name, err)
		}
		got := actions(lines)
		if got[7] != x.eighth || got[8] != x.ninth {
			t.Errorf("%s: %v", x.name, got[7:])
		}
	}
}

// The same of what was done: after the evening's advice it counts for the next,
// with its own date.
func TestDoneLate(t *testing.T) {
	easyRow := "all,7.5,6,partner,0,,yes,10,0,"
	lines, err := run(t, plan(), easy(9, map[int]string{8: easyRow + ",,visit 2", 9: "all,7.5,6,partner,0,,yes,10,2,,,"}))
	if err != nil || lines[7].To != 2 || lines[7].Rule == "P18" {
		t.Errorf("%v, %v", actions(lines), err)
	}
	late, err := run(t, plan(), easy(9, map[int]string{8: easyRow + "desk_event " + day(9) + ",,visit 2",
		9: "all,7.5,6,partner,0,,yes,10,2,,,"}))
	if err != nil || late[7].Action != "forward" || late[8].To != 2 {
		t.Errorf("%v, %v", actions(late), err)
	}
	both, err := run(t, plan(), easy(9, map[int]string{8: easyRow + "desk_event " + day(9) +
		" was grant 3,,grant 3; pause"}))
	if err != nil || both[7].State != "stepping" || both[8].State != "paused" {
		t.Errorf("%+v, %v", both[7:], err)
	}
}

// What an evening's advice was given under.
func TestUnder(t *testing.T) {
	easyRow := "all,7.5,6,partner,0,,yes,10,0,,"
	for word, want := range map[string]string{"": "forward P18", "unanswered": "stay P11", "held": "stay P01",
		"in_doubt": "stay P01", "restored": "stay P01", "held unanswered": "stay P01"} {
		lines, err := run(t, plan(), easy(8, map[int]string{8: easyRow + word + ","}))
		if err != nil || actions(lines)[7] != want {
			t.Errorf("%q: %v, %v", word, actions(lines)[7:], err)
		}
	}
	// A night without an advice has its line, and leaves nothing behind.
	lines, err := run(t, plan(), easy(9, map[int]string{8: easyRow + "no_advice,"}))
	if err != nil || actions(lines)[7] != "forward P18" || actions(lines)[8] != "forward P18" || lines[8].From != 0 {
		t.Errorf("%v, %v", actions(lines)[7:], err)
	}
}

// What is said of the evening is known to that evening's advice.
func TestOfTonight(t *testing.T) {
	lines, err := run(t, plan(), "night,worn,reporter,snoring,pain,guide,bite_minutes,setting,wrong,driving\n"+
		"2026-03-02,all,partner,6,0,yes,10,0,no,no\n2026-03-03,all,partner,6,0,yes,10,0,yes,\n2026-03-04,all,partner,6,0,yes,10,0,,yes\n")
	if err != nil || lines[0].Rule != "P10" || lines[1].Reason != "reason.p10" ||
		!slices.Contains(lines[1].Fired, "P11") || len(lines[2].Flags) != 1 ||
		lines[2].Flags[0] != (Raised{"driving.asleep", "S"}) {
		t.Errorf("%+v, %v", lines, err)
	}
}

// What is written is read back; nonsense is refused where it stands.
func TestMarksAndEvents(t *testing.T) {
	d := civil.DateOf(2026, 3, 9)
	marks := []Late{{Name: "pain", For: d, Was: "3"}, {Name: "desk_event", For: d, After: true,
		Was: "visit 3; grant 8 2026-05-01"}, {Name: "setting_left", For: d + 1, Was: "-1"}}
	if got, err := parseLate(LateCell(marks)); err != nil || !slices.Equal(got, marks) {
		t.Errorf("%+v, %v", got, err)
	}
	events := []Event{{Op: Visit, To: 3}, {Op: Release, To: 4, Flag: "pain.severe"}, {Op: Release},
		{Op: Grant, To: 8, Until: d}, {Op: Order, To: 6}}
	for op := PlanRevised; op <= Recall; op++ {
		events = append(events, Event{Op: op})
	}
	if got, err := parseEvents(eventCell(events)); err != nil || !slices.Equal(got, events) {
		t.Errorf("%+v, %v", got, err)
	}
	for column, cells := range map[string][]string{
		"came_late":  {"pain", "pain soon", "pain before 2026-03-03", "mood 2026-03-03", "pain 2026-03-03 was 11", "desk_event 2026-03-03 was dance", "night 2026-03-03", "pain 2026-13-02", "pain 2026-03-02", "pain after 2026-03-01"},
		"evening":    {"tired"},
		"desk_event": {"release 4 mood", "grant 5 soon", "visit +5", "visit 1000", "step 3", "grant 4 2026-05-01 x"},
	} {
		for _, cell := range cells {
			_, err := run(t, plan(), "night,"+column+"\n2026-03-02,"+cell+"\n")
			var bad *BadCell
			if !errors.As(err, &bad) || bad.Line != 2 || bad.Column != column || bad.Want == "" {
				t.Errorf("%s %q: %v", column, cell, err)
			}
		}
	}
}

// A step that waits for a person: stay with P18, and forward once released.
func TestReleaseByHand(t *testing.T) {
	e := plan()
	e.Plan.Limits.ReleaseByHand = true
	easyRow := "all,7.5,6,partner,0,,yes,10,0,,,"
	lines, err := run(t, e, easy(9, map[int]string{9: easyRow + "step"}))
	if err != nil {
		t.Fatal(err)
	}
	if l := lines[7]; l.Action != "stay" || l.Rule != "P18" || l.From != l.To || l.To != 0 ||
		l.Reason != "reason.p18.ready" || !slices.Equal(l.Fired, []string{"P18"}) {
		t.Errorf("%+v", l)
	}
	if l := lines[8]; l.Action != "forward" || l.To != 1 {
		t.Errorf("%+v", l)
	}
}

// A plan event puts the next plan in force; where there is none the same limits
// are signed for as long again.
func TestPlanRevised(t *testing.T) {
	e := plan()
	e.Plan.Fitted = civil.DateOf(2026, 3, 2)
	e.Plan.Ends = e.Plan.Fitted + 5
	easyRow := "all,7.5,6,partner,0,,yes,10,0,,,"
	if lines, err := run(t, e, easy(8, nil)); err != nil || lines[5].Rule == "P01" || lines[6].Rule != "P01" {
		t.Errorf("%v, %v", actions(lines), err)
	}
	if lines, err := run(t, e, easy(8, map[int]string{7: easyRow + "plan"})); err != nil ||
		actions(lines)[7] != "forward P18" {
		t.Errorf("%v, %v", actions(lines), err)
	}
	rows, err := Read(strings.NewReader(easy(8, map[int]string{7: easyRow + "plan"})))
	if err != nil {
		t.Fatal(err)
	}
	next := e.Plan
	next.Limits.Settle, next.Ends = 14, e.Plan.Ends+100
	var last Line
	if err := New(e, next).Each(rows, func(l Line) error { last = l; return nil }); err != nil || last.Rule != "P10" {
		t.Errorf("%+v, %v", last, err)
	}
}

// Signed for as long again, and again: each time from the night it is signed, so that
// two revisions of an evening, or of a week, do not add up.
func TestPlanRevisedTwice(t *testing.T) {
	e := plan()
	e.Plan.Fitted = civil.DateOf(2026, 3, 2)
	e.Plan.Ends = e.Plan.Fitted + 5
	easyRow := "all,7.5,6,partner,0,,yes,10,0,,,"
	for name, x := range map[string]struct {
		events map[int]string
		ends   civil.Date
	}{
		"on one evening":        {map[int]string{3: easyRow + "plan; plan"}, e.Plan.Fitted + 2 + 5},
		"on two evenings":       {map[int]string{2: easyRow + "plan", 3: easyRow + "plan"}, e.Plan.Fitted + 2 + 5},
		"after it ended, twice": {map[int]string{7: easyRow + "plan; plan"}, e.Plan.Fitted + 6 + 5},
	} {
		rows, err := Read(strings.NewReader(easy(9, x.events)))
		if err != nil {
			t.Fatal(err)
		}
		r := New(e)
		if err := r.Each(rows, func(Line) error { return nil }); err != nil {
			t.Fatal(err)
		}
		if got := r.Facts().Plan.Ends; got != x.ends {
			t.Errorf("%s: it ends on %v, want %v", name, got, x.ends)
		}
	}
}

// One side of two is not where it stands; a second side of one is no cell.
func TestSides(t *testing.T) {
	e := plan()
	e.Appliance.TwoSided, e.Appliance.Offset = true, 1
	lines, err := run(t, e, "night,setting_left,setting_right\n2026-03-02,0,\n2026-03-03,0,1\n2026-03-04,,1\n2026-03-05,,\n")
	if err != nil || !slices.Contains(lines[1].Fired, "P05") || slices.Contains(lines[2].Fired, "P05") ||
		!slices.Contains(lines[3].Fired, "P05") {
		t.Errorf("%+v, %v", lines, err)
	}
	_, err = run(t, plan(), "night,setting_left,setting_right\n2026-03-02,0,\n2026-03-03,0,1\n")
	var bad *BadCell
	if !errors.As(err, &bad) || bad.Line != 3 || bad.Column != "setting_right" {
		t.Error(err)
	}
	if lines, err = run(t, plan(), "night,setting,desk_event\n2026-03-02,,visit 2\n2026-03-03,,\n"); err != nil ||
		slices.Contains(lines[1].Fired, "P05") {
		t.Errorf("a visit names the setting: %+v, %v", lines, err)
	}
}

// How a file of a spreadsheet may look.
func TestSpreadsheets(t *testing.T) {
	for _, file := range []string{"\xef\xbb\xbfnight,pain\r\n2026-03-02,1\r\n",
		"\xef\xbb\xbf\"night\",\"pain\"\n\"2026-03-02\",\" 1 \"\n", " NIGHT , Pain \n2026-03-02,1\n,\n\n , \n"} {
		if rows, err := Read(strings.NewReader(file)); err != nil || len(rows) != 1 || len(rows[0].Cells) != 1 {
			t.Errorf("%q: %+v, %v", file, rows, err)
		}
	}
	for file, want := range map[string]string{"\xff\xfen\x00": "UTF-8", "night;pain\n2026-03-02;1\n": "commas",
		"night\tpain\n": "commas", "night,hours\n2026-03-02,\"7,5\"\n": "decimal point",
		"night,pain\n2026-03-02,1\n2026-03-02,1\n": "once", "night,pain\n2026-03-02,1\n2026-03-01,1\n": "oldest first"} {
		if _, err := Read(strings.NewReader(file)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", file, err)
		}
	}
}
