package estimate

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/pacing"
)

// A book read after each night has all of them, each as it was last known.
func TestBook(t *testing.T) {
	long := line(8, 5, 2, 5.6)
	f := pacing.Facts{Plan: long.Plan, Appliance: long.Appliance, Baseline: long.Baseline}
	var c pacing.Course
	var b Book
	c.Begin(f, day)
	for i := range long.Nights {
		e := &long.Nights[i]
		c.Visit(f, e.Night, e.Low)
		b.Read(&c) // before the morning
		for _, x := range []chart.Field{chart.Worn, chart.Snoring, chart.Reporter} {
			c.Answer(f, e.Night, x, e.V[x], chart.FromPatient)
		}
	}
	c.Answer(f, day+20, chart.Snoring, chart.Num(9), chart.FromStaff) // corrected later
	b.Read(&c)
	if len(b) != len(long.Nights) {
		t.Fatalf("%d nights of %d", len(b), len(long.Nights))
	}
	for i := range b {
		want := long.Nights[i].V[chart.Snoring]
		if i == 20 {
			want = chart.Num(9)
		}
		if b[i].Night != long.Nights[i].Night || b[i].V[chart.Snoring] != want {
			t.Errorf("night %d: %v, score %v", i, b[i].Night, b[i].V[chart.Snoring])
		}
	}
	b = nil
	b.Read(&c)
	if len(b) != 28 {
		t.Errorf("%d nights remembered", len(b))
	}
}
