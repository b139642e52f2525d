package record

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/replay"
)

func sample() Record {
	p := flows.Patient{ID: "=07K17", Label: "Heron 17", Zone: "Europe/Madrid"}
	day := civil.DateOf(2026, 11, 3)
	e := chart.Entry{Night: day, Action: chart.Stay, To: 0, Rule: 10}
	e.V[chart.Worn], e.V[chart.WornMinutes], e.V[chart.Pain] = chart.Num(chart.WornAll), chart.Num(450), chart.Num(3)
	e.V[chart.Snoring] = chart.Skipped
	e.V[chart.SettingLeft] = chart.Num(-1)
	f := chart.Entry{Night: day + 2, Action: chart.Stay, Rule: 11, Asked: 8 | uint16(chart.UnderUnheard)}
	kept := map[civil.Date]*replay.Kept{day: {Events: []replay.Event{{Op: replay.Visit, To: 3}, {Op: replay.Pause}}},
		day + 2: {Late: []replay.Late{{Name: "pain", For: day + 3, After: true, Was: "2"}, {Name: "guide", For: day + 4}}}}
	f.V[chart.Pain] = chart.Num(0)
	at := time.Date(2026, 11, 4, 7, 0, 0, 0, time.UTC)
	return New(p, []Revision{{day, "patient", at, chart.Entry{Night: day}}, {day, "patient", at, e},
		{day + 2, "undo", at.AddDate(0, 0, 2), f}}, kept, at)
}

// The table follows RFC 4180 (doi 10.17487/RFC4180): CRLF, one header, equal fields.
func TestCSV(t *testing.T) {
	var b bytes.Buffer
	if err := sample().CSV(&b); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(b.String(), "\r\n"); n != 4 || strings.Count(b.String(), "\n") != 4 {
		t.Errorf("lines end otherwise than by CRLF, or there are not 4: %q", b.String())
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for i, n := range rows[0] {
		at[n] = i
	}
	for _, c := range []struct {
		row       int
		name, val string
	}{
		{1, "patient", "'=07K17"}, {1, "desk_event", "visit 3; pause"}, {1, "evening", ""}, {2, "evening", "no_advice"}, {3, "evening", "unanswered"}, {1, "night", "2026-11-03"}, {1, "worn", "all"}, {1, "hours", "7.5"}, {1, "snoring", "skipped"}, {1, "pain", "3"},
		{1, "guide", ""}, {1, "setting_left", "-1"}, {1, "action", "stay"}, {1, "rule", "P10"}, {1, "setting_advised", "0"}, {1, "revisions", "2"},
		{2, "night", "2026-11-04"}, {2, "pain", ""}, {2, "action", ""}, {2, "revisions", "0"},
		{3, "pain", "0"}, {3, "came_late", "pain after 2026-11-06 was 2 | guide 2026-11-07"}, {3, "not_asked", "morning"}, {3, "source", "undo"}, {3, "version", "2"},
	} {
		if got := rows[c.row][at[c.name]]; got != c.val {
			t.Errorf("row %d %s: %q, want %q", c.row, c.name, got, c.val)
		}
	}
}

func TestJSONTellsUnknownFromSkipped(t *testing.T) {
	var b bytes.Buffer
	if err := sample().JSON(&b); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Nights []struct {
			Night   string
			Answers map[string]any
			Setting *int `json:"setting_advised"`
		}
	}
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Nights) != 3 {
		t.Fatalf("%d nights", len(doc.Nights))
	}
	a := doc.Nights[0].Answers
	if a["snoring"] != "skipped" || a["pain"] != 3.0 || a["hours"] != 7.5 || a["worn"] != "all" {
		t.Errorf("answers %v", a)
	}
	if _, ok := a["guide"]; ok {
		t.Error("an unknown answer is there")
	}
	if doc.Nights[0].Setting == nil || *doc.Nights[0].Setting != 0 {
		t.Error("setting 0 was dropped")
	}
}

// Common practice, no source: spreadsheets run cells that begin with = + - @.
func TestGuard(t *testing.T) {
	for in, want := range map[string]string{"=1+1": "'=1+1", "+1 2": "'+1 2", "-1": "-1", "-1+2": "'-1+2", "@x": "'@x",
		"\tx": "'\tx", "K-17": "K-17", "": ""} {
		if got := guard(in); got != want {
			t.Errorf("guard(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestEmptyDiary(t *testing.T) {
	var b bytes.Buffer
	r := New(flows.Patient{Label: "K-1"}, nil, nil, time.Time{})
	if err := r.CSV(&b); err != nil || strings.Count(b.String(), "\r\n") != 1 {
		t.Errorf("an empty diary is not one header: %q, %v", b.String(), err)
	}
}

// Tests and what the practice wrote are in the object, and what was not measured is not.
func TestJSONHasTestsAndNotes(t *testing.T) {
	r := sample()
	r.Patient.Tests = []chart.SleepTest{{On: civil.DateOf(2026, time.November, 2), Kind: "oximetry", ODI10: chart.Num(121), ODIDrop: 3, By: "Dr F", Setting: 3, InPlace: true}}
	r.Patient.Noted = []flows.Noted{{At: civil.Wall{Date: civil.DateOf(2026, time.November, 3), Clock: 615}, By: "s1", Op: flows.OrderResolve, Reason: "call", Text: "called"}}
	var b bytes.Buffer
	if err := r.JSON(&b); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Tests, Notes []map[string]any
	}
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	test, note := fmt.Sprint(doc.Tests), fmt.Sprint(doc.Notes)
	if test != "[map[by:Dr F in_place:true kind:oximetry odi:12.1 odi_drop:3 on:2026-11-02 setting:3]]" ||
		note != "[map[by:s1 date:2026-11-03 of:call text:called time:10:15 what:resolve]]" {
		t.Errorf("%s\n%s", test, note)
	}
	b.Reset()
	if err := r.CSV(&b); err != nil || strings.Contains(b.String(), "called") {
		t.Errorf("the patient's own copy has notes: %v", err)
	}
}
