package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/replay"
)

// full fills every field of a value with something that is not zero.
func full(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString("secret")
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		v.SetInt(77)
	case reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		v.SetUint(77)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		full(v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		full(v.Index(0))
	case reflect.Array:
		for i := range v.Len() {
			full(v.Index(i))
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			v.Set(reflect.ValueOf(time.Date(2026, 11, 3, 7, 0, 0, 0, time.UTC)))
			return
		}
		for i := range v.NumField() {
			full(v.Field(i))
		}
	}
}

// differing lists the paths at which two values of one type are not the same.
func differing(path string, a, b reflect.Value, out map[string]bool) {
	switch {
	case a.Kind() == reflect.Pointer && !a.IsNil() && !b.IsNil():
		differing(path, a.Elem(), b.Elem(), out)
	case a.Kind() == reflect.Struct && a.Type() != reflect.TypeFor[time.Time]():
		for i := range a.NumField() {
			differing(path+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i), out)
		}
	case !reflect.DeepEqual(a.Interface(), b.Interface()):
		out[path] = true
	}
}

// texts lists the paths at which a value still holds the text it was filled with.
func texts(path string, v reflect.Value, out map[string]bool) {
	switch v.Kind() {
	case reflect.String:
		if v.String() == "secret" {
			out[path] = true
		}
	case reflect.Pointer:
		if !v.IsNil() {
			texts(path, v.Elem(), out)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			texts(path, v.Index(i), out)
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return
		}
		for i := range v.NumField() {
			texts(path+"."+v.Type().Field(i).Name, v.Field(i), out)
		}
	}
}

// Every field of every event is looked at: what a course changes or leaves out,
// and the texts that it keeps, which are keys, ids, languages and zones. A new
// field fails here until somebody has decided.
func TestCourseTellsNobody(t *testing.T) {
	changed, kept := map[string]bool{}, map[string]bool{}
	for name, kind := range courseKinds {
		v := reflect.New(kind).Elem()
		full(v)
		m := mask{id: "07X", chats: map[int64]int64{}, codes: map[string]string{}}
		b := reflect.ValueOf(m.body(v.Interface().(flows.Body)))
		differing(name, v, b, changed)
		texts(name, b, kept)
	}
	wantChanged := `bounce.Chat delivered.Chat delivered.Message enrol.Actor.Chat enrol.Actor.Name enrol.Chat enrol.Code enrol.Enrolment.Appliance.Forward enrol.Enrolment.Appliance.Labels
		enrol.Enrolment.Appliance.Mechanism enrol.Enrolment.Appliance.StepWord enrol.Enrolment.Baseline.Allergies enrol.Enrolment.Baseline.Scores
		enrol.Enrolment.Baseline.Test.By enrol.Enrolment.Baseline.Test.Kind enrol.Enrolment.Baseline.Test.Rule enrol.Enrolment.Label enrol.Enrolment.Phone
		enrol.Enrolment.Physician enrol.Enrolment.Plan.ByName enrol.Enrolment.Plan.Fallback enrol.Enrolment.Template enrol.Host enrol.Link join.Chat join.Code order.Actor.Chat order.Actor.Name order.Chat
		order.Code order.Plan.ByName order.Plan.Fallback order.Second order.Test.By order.Test.Kind order.Test.Rule order.Text other.AppLang other.Chat other.User reached.Chat
		said.Among said.AppLang said.Chat said.CodeHash said.Find said.List said.Nights said.NoPhone said.PIN said.Pairs said.Reading.Code said.Reading.Why said.Secret said.Taken said.Text said.User said.Zones staffchange.Code.Ends staffchange.Code.Hash staffchange.Code.Staff staffchange.Code.Tries staffchange.Staff.Chat staffchange.Staff.Label staffchange.Staff.Lang staffchange.Staff.Locked staffchange.Staff.OffDuty staffchange.Staff.OffRota staffchange.Staff.PIN staffchange.Staff.Removed staffchange.Staff.Role staffchange.Staff.Unreach tap.Chat tap.User`
	wantKept := `bounce.Why delivered.Key due.Arg due.Name enrol.Actor.ID enrol.Enrolment.Lang enrol.Enrolment.Plan.By enrol.Enrolment.Zone join.Lang missed.Key order.Actor.ID
		order.Flag order.For order.Lang order.Plan.By order.Zone other.Kind said.Media said.Reading.Lang staffchange.Staff.ID tap.Arg tap.Nonce tap.Op tap.Patient`
	if got := slices.Sorted(maps.Keys(changed)); !slices.Equal(got, strings.Fields(wantChanged)) {
		t.Errorf("a course changes or leaves out\n%v\nand should\n%v", got, strings.Fields(wantChanged))
	}
	if got := slices.Sorted(maps.Keys(kept)); !slices.Equal(got, strings.Fields(wantKept)) {
		t.Errorf("a course keeps the texts of\n%v\nand should\n%v", got, strings.Fields(wantKept))
	}
}

// What is zero is left out of an event, and it reads back the same.
func TestLean(t *testing.T) {
	for name, kind := range courseKinds {
		for _, filled := range []bool{true, false} {
			v := reflect.New(kind)
			if filled {
				full(v.Elem())
			}
			raw, err := json.Marshal(lean(v))
			if err != nil {
				t.Fatal(err)
			}
			back := reflect.New(kind)
			if err := strict(raw, back.Interface()); err != nil || !reflect.DeepEqual(v.Elem().Interface(),
				back.Elem().Interface()) {
				t.Errorf("%s: %s, %v", name, raw, err)
			}
			if !filled && string(raw) != "{}" {
				t.Errorf("%s: %s", name, raw)
			}
		}
	}
	raw, err := json.Marshal(lean(reflect.ValueOf(flows.Order{Plan: &chart.Plan{}})))
	if err != nil || string(raw) != `{"Plan":{}}` {
		t.Errorf("an empty plan is not no plan: %s, %v", raw, err)
	}
}

func written(t *testing.T) string {
	t.Helper()
	at := time.Date(2026, 11, 3, 7, 0, 0, 0, time.UTC)
	wall := civil.Wall{Date: civil.DateOf(2026, 11, 3), Clock: 420}
	pr := practice.Practice{Staff: []practice.Staff{{ID: "s1", Role: practice.Clinician}}, Langs: []string{"en"}}
	held := pr
	held.Held = true
	events := []replay.Happened{
		{Seq: 1, Event: flows.Event{At: at, Wall: wall, Office: wall, Body: flows.Gap{Minutes: 3}}, Practice: pr, Rules: 2},
		{Seq: 4, Event: flows.Event{At: at, Wall: wall, Office: wall, Doubt: true, Body: flows.Missed{Key: "prompt"}}, Practice: pr, Rules: 2},
		{Seq: 5, Event: flows.Event{At: at, Wall: wall, Office: wall, Seed: [16]byte{15: 9},
			Body: flows.Due{Name: "evening"}}, Practice: held,
			Given: []replay.Given{{Number: 1, Action: "stay", To: 0, Rule: "P10"}}, Rules: 3},
	}
	var b bytes.Buffer
	if err := WriteCourse(&b, "07X", events); err != nil {
		t.Fatal(err)
	}
	id, back, err := ReadCourse(strings.NewReader(b.String()))
	if err != nil || id != "07X" || !reflect.DeepEqual(back, events) {
		t.Fatalf("%v\n%+v\n%+v", err, back, events)
	}
	if strings.Count(b.String(), `"practice"`) != 2 {
		t.Errorf("the practice is told where it changed alone: %s", b.String())
	}
	if strings.Count(b.String(), `"rules"`) != 2 {
		t.Errorf("the version of the rules is told where it changed alone: %s", b.String())
	}
	return b.String()
}

// A course that is cut, altered or no course is refused by its line, and the
// events before it come back.
func TestBadCourses(t *testing.T) {
	good := written(t)
	if !IsCourse([]byte(good)) || !IsCourse([]byte("\ufeff\r\n {")) || IsCourse([]byte("night,worn\n")) || IsCourse(nil) {
		t.Error("a course is told from a diary by how it begins")
	}
	lines := strings.SplitAfter(good, "\n")
	for _, x := range []struct {
		name, file   string
		line, events int
	}{
		{"empty", "", 1, 0},
		{"no head", lines[1], 1, 0},
		{"head alone", lines[0], 2, 0},
		{"newer", strings.Replace(good, `{"course":1`, `{"course":2`, 1), 1, 0},
		{"cut", good[:len(good)-9], 4, 2},
		{"twice", lines[0] + lines[1] + lines[1], 3, 1},
		{"no practice", lines[0] + lines[2], 2, 0},
		{"a kind", strings.Replace(good, `"kind":"missed"`, `"kind":"dreamt"`, 1), 3, 1},
		{"a field", strings.Replace(good, `"Key":"prompt"`, `"Lock":"prompt"`, 1), 3, 1},
		{"a time", strings.Replace(good, `"wall":"2026-11-03T07:00"`, `"wall":"7 o'clock"`, 1), 2, 0},
		{"a seed", strings.Replace(good, `"seed":"00000000000000000000000000000009"`, `"seed":"9"`, 1), 4, 2},
		{"more", strings.Replace(good, `{"seq":4`, `{} {"seq":4`, 1), 3, 1},
	} {
		_, events, err := ReadCourse(strings.NewReader(x.file))
		var bad *BadLine
		if !errors.As(err, &bad) || bad.Line != x.line || bad.Want == "" || len(events) != x.events {
			t.Errorf("%s: %v, %d events", x.name, err, len(events))
		}
	}
}
