package main

import (
	"bytes"
	"reflect"
	"slices"
	"strings"
	"testing"

	"duskdawn/bot/record"
	"duskdawn/flows"
	"duskdawn/flows/replay"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// replayed exports every patient of a talk that was played and runs the course
// again: it must lead, advice by advice, to what was given and to the patient
// that is stored. It gives how many advices were compared.
func (w *whole) replayed(t *testing.T) (advices int) {
	t.Helper()
	for s, err := range w.st.List(w.ctx, store.Query{}) {
		w.must(err)
		id := flows.PatientID(s.Ref.ID)
		happened, err := w.s.course(w.ctx, id)
		w.must(err)
		stored := w.patient(id)

		var file bytes.Buffer
		w.must(record.WriteCourse(&file, id, happened))
		w.secret(t, file.String(), &stored)
		back, again, err := record.ReadCourse(&file)
		w.must(err)
		if back != id || len(again) != len(happened) {
			t.Fatalf("%s with %d events came back as %s with %d", id, len(happened), back, len(again))
		}
		c := replay.Course{ID: id}
		var given []flows.Advice
		for i := range again {
			line, advised, _ := c.Next(&again[i])
			if err := c.Check(&again[i], advised); err != nil {
				t.Error(err)
			}
			if !advised {
				continue
			}
			a := c.Patient.Course.Advice
			given = append(given, a)
			if line.Night != a.Night.String() || line.Action != a.Action.String() || line.To != int(a.To) || line.Rule != a.Rule.ID() {
				t.Errorf("%+v is not %+v", line, a)
			}
		}
		if got, want := pacing(c.Patient.Course), pacing(stored.Course); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: run again, the course ends as\n%+v\nnot as stored\n%+v", id, got, want)
		}
		if len(given) != int(stored.Course.Advices) {
			t.Errorf("%s: %d advices, not %d", id, len(given), stored.Course.Advices)
		}
		w.inDiary(t, id, given)
		advices += len(given)
	}
	return advices
}

// pacing is a course without the words that were typed.
func pacing(c flows.Course) flows.Course {
	c.Flags = slices.Clone(c.Flags)
	for i := range c.Flags {
		c.Flags[i].Quote = ""
	}
	if len(c.Flags) == 0 {
		c.Flags = nil
	}
	return c
}

// inDiary finds each advice among the rows of the diary as they were committed.
func (w *whole) inDiary(t *testing.T, id flows.PatientID, given []flows.Advice) {
	t.Helper()
	for row, err := range w.st.Diary(w.ctx, scheduler.PatientRef(id)) {
		w.must(err)
		var e flows.Entry
		w.must(store.Decode(row.Body, &e))
		if len(given) > 0 && e.Night == given[0].Night && e.Action == given[0].Action && e.To == given[0].To && e.Rule == given[0].Rule {
			given = given[1:]
		}
	}
	if len(given) > 0 {
		t.Errorf("%s: the diary has no %+v", id, given[0])
	}
}

// secret looks for whatever a course must not tell.
func (w *whole) secret(t *testing.T, file string, p *flows.Patient) {
	t.Helper()
	names := []string{p.Label, p.Phone, p.Physician, p.Appliance.Mechanism, p.Appliance.StepWord, p.Appliance.Forward, p.Plan.ByName, p.Plan.Fallback, "Quillmere"}
	for _, one := range w.s.platform.Messages(p.Chat) {
		if !one.Bot && strings.Contains(strings.TrimSpace(one.Text), " ") {
			names = append(names, one.Text)
		}
	}
	for _, name := range names {
		if name != "" && strings.Contains(strings.ToLower(file), strings.ToLower(name)) {
			t.Errorf("the course of %s holds %q", p.ID, name)
		}
	}
}
