package store

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/reading"

	"github.com/google/go-cmp/cmp"
)

func TestPatientRoundTrip(t *testing.T) {
	p := flows.Patient{ID: "07ABCDEFGHJKMNPQRS", Label: "K-17", Lang: "en", Zone: "Europe/Madrid"}
	p.Course.N = 3
	for i := range 3 {
		p.Course.Nights[i].Night = civil.Date(20000 + i)
		p.Course.Nights[i].V[chart.Pain] = chart.Num(i)
	}
	b, err := EncodePatient(&p)
	if err != nil {
		t.Fatal(err)
	}
	q, err := DecodePatient(b)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(p, q); d != "" {
		t.Error(d)
	}
}

// A full patient must stay under the limit of the stored form.
func TestFullPatientFits(t *testing.T) {
	p := flows.Patient{ID: "07ABCDEFGHJKMNPQRS"}
	p.Course.N = uint8(len(p.Course.Nights))
	for i := range p.Course.Nights {
		e := &p.Course.Nights[i]
		e.Night = civil.Date(20000 + i)
		for f := range e.V {
			e.V[f] = chart.Num(10)
		}
		e.Action, e.To, e.Rule, e.Asked, e.Late = chart.Stay, 12, 18, 15, 1<<31
	}
	b, err := EncodePatient(&p)
	if err != nil {
		t.Fatal(err)
	}
	if len(b) > MaxPatientBody*6/10 {
		t.Errorf("28 full nights take %d bytes; the rest of a patient needs room in %d", len(b), MaxPatientBody)
	}
}

// A course with everything that pacing can remember stays small too.
func TestFullCourseFits(t *testing.T) {
	var p flows.Patient
	p.Plan = chart.Plan{Rev: 9, By: "s1234567", Fitted: 20000, Limits: chart.Limits{Ceiling: 40, WornMinutes: 240}}
	p.Appliance = chart.Appliance{Step: 250, Travel: 60, TwoSided: true, Guide: true}
	f := pacing.Facts{Plan: &p.Plan, Appliance: &p.Appliance, Baseline: &p.Baseline}
	c := &p.Course
	c.Begin(f, 20000)
	for n := range 300 {
		night := civil.Date(20000 + n)
		c.Visit(f, night, chart.Steps(n/7%40))
		c.Advise(f, night)
		for field, v := range map[chart.Field]int{
			chart.Worn: chart.WornAll, chart.WornMinutes: 450, chart.NotWorn: 10, chart.Snoring: 10, chart.Reporter: 1,
			chart.Pain: 7, chart.Woken: 1, chart.Where: 5,
			chart.Gone: 4, chart.Guide: 1, chart.GuideMinutes: 180, chart.Bite: 4, chart.BiteMinutes: 1440, chart.Nose: 1,
			chart.Sleepiness: 10, chart.Driving: 3, chart.Pauses: 1, chart.Headache: 1,
		} {
			c.Answer(f, night, field, chart.Num(v), chart.FromPatient)
		}
	}
	c.Hear(f, civil.Wall{Date: 20300, Clock: 1439}, ^reading.Features(0), strings.Repeat("ñ", 300))
	b, err := EncodePatient(&p)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d bytes", len(b))
	if len(b) > MaxPatientBody-300 { // the rest is names, talk and escalations
		t.Errorf("a full course takes %d bytes of %d", len(b), MaxPatientBody)
	}
	q, err := DecodePatient(b)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(p.Course, q.Course); d != "" {
		t.Error(d)
	}
}

func TestEveryBodyRoundTrips(t *testing.T) {
	for _, b := range []flows.Body{
		flows.Enrol{Code: "A"}, flows.Join{Chat: 1}, flows.Said{Text: "x"}, flows.Tap{Op: "ack"}, flows.Other{Kind: "voice"},
		flows.Due{Name: "evening"}, flows.Order{Op: flows.OrderAck, Plan: &chart.Plan{Rev: 2}}, flows.Bounce{Chat: 1},
		flows.Reached{Chat: 1}, flows.Numbered{Number: 3},
		flows.Missed{Key: "k"}, flows.Delivered{Key: "k"}, flows.Gap{Minutes: 3}, flows.Restored{Epoch: 1}, flows.Bound{Gen: 2}, flows.NoSuchCode{},
		flows.LabelTaken{Label: "K"},
		flows.StaffJoin{Code: "h"}, flows.StaffBound{Staff: "s"}, flows.GroupMoved{From: 1, To: 2},
		flows.Brief{Ask: "visit", Left: 3}, flows.Draft{Actor: flows.Actor{ID: "s"}}, flows.Settings{Off: []string{"N"}},
		flows.StaffChange{Op: flows.StaffAdd}, flows.Manage{Op: flows.ManageHold},
	} {
		enc, err := EncodeBody(b)
		if err != nil {
			t.Fatal(err)
		}
		got, err := DecodeBody(enc)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(b, got); d != "" {
			t.Errorf("%T: %s", b, d)
		}
	}
}

func TestUnknownCodecIsNewer(t *testing.T) {
	var p flows.Patient
	if err := Decode([]byte{0xff, 0}, &p); err == nil {
		t.Error("a head byte from the future was read")
	}
}

// FuzzStoredRows reads anything as a stored patient, event, chat or entry: an
// error or a value, never a panic, and what was read is written and read alike.
func FuzzStoredRows(f *testing.F) {
	p := flows.Patient{ID: "07ABCDEFGHJKMNPQRS", Label: "K-17"}
	p.Course.N = 1
	whole, err := EncodePatient(&p)
	if err != nil {
		f.Fatal(err)
	}
	event, err := EncodeBody(flows.Said{Text: "7h", Chat: 1})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add(event)
	f.Add([]byte{})
	f.Add([]byte{0x10, 0xff})
	f.Fuzz(func(t *testing.T, raw []byte) {
		if p, err := DecodePatient(raw); err == nil && len(raw) > 0 {
			again, err := EncodePatient(&p)
			if err != nil {
				t.Fatalf("read and not written: %v", err)
			}
			q, err := DecodePatient(again)
			if err != nil {
				t.Fatalf("written and not read: %v", err)
			}
			if d := cmp.Diff(p, q); d != "" {
				t.Error(d)
			}
		}
		if b, err := DecodeBody(raw); err == nil {
			if _, err := EncodeBody(b); err != nil {
				t.Errorf("read and not written: %v", err)
			}
		}
		var e chart.Entry
		_ = Decode(raw, &e)
	})
}
