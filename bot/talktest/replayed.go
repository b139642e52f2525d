package talktest

import (
	"bytes"
	"reflect"
	"slices"
	"strings"
	"testing"

	"duskdawn/bot/record"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/reading"
	"duskdawn/flows/replay"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// replayed exports every patient of a talk that was played and runs the course
// again: it must lead, advice by advice, to what was given and to the patient
// that is stored. Then it exports the diary and does the same as far as a diary
// can. It gives how many advices and how many nights of diaries were compared.
func (w *Whole) replayed(t *testing.T) (advices, nights int) {
	t.Helper()
	for s, err := range w.st.List(w.ctx, store.Query{}) {
		w.Must(err)
		id := chart.PatientID(s.Ref.ID)
		happened, err := w.s.Course(w.ctx, id)
		w.Must(err)
		stored := w.Patient(id)

		var file bytes.Buffer
		w.Must(record.WriteCourse(&file, id, happened))
		w.secret(t, file.String(), &stored)
		back, again, err := record.ReadCourse(&file)
		w.Must(err)
		if back != id || len(again) != len(happened) {
			t.Fatalf("%s with %d events came back as %s with %d", id, len(happened), back, len(again))
		}
		c := replay.Course{ID: id}
		var given []chart.Advice
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
			if line.Night != a.Night.String() || line.Action != a.Action.String() || line.To != int(a.To) ||
				line.Rule != a.Rule.ID() {
				t.Errorf("%+v is not %+v", line, a)
			}
		}
		if got, want := onlyPacing(c.Patient.Course), onlyPacing(stored.Course); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: run again, the course ends as\n%+v\nnot as stored\n%+v", id, got, want)
		}
		if len(given) != int(stored.Course.Advices) {
			t.Errorf("%s: %d advices, not %d", id, len(given), stored.Course.Advices)
		}
		w.inDiary(t, id, given)
		advices += len(given)
		nights += w.asDiary(t, id, happened, given)
	}
	return advices, nights
}

// onlyPacing is a course without the words that were typed.
func onlyPacing(c pacing.Course) pacing.Course {
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
func (w *Whole) inDiary(t *testing.T, id chart.PatientID, given []chart.Advice) {
	t.Helper()
	for row, err := range w.st.Diary(w.ctx, scheduler.PatientRef(id)) {
		w.Must(err)
		var e chart.Entry
		w.Must(store.Decode(row.Body, &e))
		if len(given) > 0 && e.Night == given[0].Night && e.Action == given[0].Action && e.To == given[0].To &&
			e.Rule == given[0].Rule {
			given = given[1:]
		}
	}
	if len(given) > 0 {
		t.Errorf("%s: the diary has no %+v", id, given[0])
	}
}

// secret looks for whatever a course must not tell.
func (w *Whole) secret(t *testing.T, file string, p *flows.Patient) {
	t.Helper()
	names := []string{p.Label, p.Phone, p.Physician, p.Appliance.Mechanism, p.Appliance.StepWord, p.Appliance.Forward,
		p.Plan.ByName, p.Plan.Fallback, "Quillmere"}
	for _, one := range w.s.Platform.Messages(p.Chat) {
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

// asDiary exports the patient's diary and runs it through the rules: as long as
// the diary holds all that mattered it must say what was given. It gives how
// many nights that was.
func (w *Whole) asDiary(t *testing.T, id chart.PatientID, happened []replay.Happened,
	given []chart.Advice) (nights int) {
	t.Helper()
	if len(given) == 0 {
		return 0
	}
	var file bytes.Buffer
	r, err := w.s.Record(w.ctx, id)
	w.Must(err)
	w.Must(r.CSV(&file))
	rows, err := replay.Read(&file)
	w.Must(err)
	plans := signed(happened)
	first := plans[0]
	var later []chart.Plan
	for _, e := range plans[1:] {
		later = append(later, e.Plan)
	}
	until := held(id, happened)
	inForce := map[string]chart.Advice{}
	for _, a := range given {
		inForce[a.Night.String()] = a
	}
	err = replay.New(first, later...).Each(rows, func(l replay.Line) error {
		a, advised := inForce[l.Night]
		if until != 0 && a.Night >= until || !advised {
			return nil
		}
		nights++
		if l.Action != a.Action.String() || l.To != int(a.To) || l.From != int(a.From) || l.Rule != a.Rule.ID() ||
			strings.Join(l.Fired, " ") != rulesOf(a.Fired) || l.Reason != a.Reason {
			t.Errorf("%s: the diary gives %+v, the chat gave %+v", id, l, a)
		}
		return nil
	})
	if err != nil && until == 0 {
		t.Error(err)
	}
	return nights
}

// signed are the enrolment and the plans signed after it.
func signed(happened []replay.Happened) (out []chart.Enrolment) {
	for i := range happened {
		switch b := happened[i].Event.Body.(type) {
		case flows.Enrol:
			out = append(out, b.Enrolment)
		case flows.Order:
			if b.Plan != nil {
				out = append(out, chart.Enrolment{Plan: *b.Plan})
			}
		}
	}
	return out
}

// held is the first night from which on a diary cannot hold what mattered: words
// that raised a flag, a count said to be lost, or one above the ceiling, by which the
// evening's advice was given again; 0 for never.
func held(id chart.PatientID, happened []replay.Happened) civil.Date {
	c := replay.Course{ID: id}
	for i := range happened {
		before := c.Patient
		c.Next(&happened[i])
		was, is := &before.Course, &c.Patient.Course
		said, _ := happened[i].Event.Body.(flows.Said)
		words := said.Reading.Features != 0 && len(is.Flags) > len(was.Flags)
		lost := is.InDoubt && !was.InDoubt && said.Reading.Word == reading.WordLost
		above := is.InDoubt && !was.InDoubt && len(is.Flags) > len(was.Flags)
		if words || lost || above {
			return min(c.Patient.Plan.Coming(happened[i].Event.Wall), is.Advice.Night)
		}
	}
	return 0
}
