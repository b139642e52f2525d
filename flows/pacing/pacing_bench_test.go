package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// benchCourse is a course in its fifth week.
func benchCourse() (Course, Facts, civil.Date) {
	k := trial(&testing.T{})
	for range 30 {
		k.night(fine())
	}
	return k.c, k.f, k.d
}

// Advise on a usual evening, the copy of the course that a caller makes included.
func BenchmarkAdvise(b *testing.B) {
	c, f, night := benchCourse()
	b.ReportAllocs()
	for b.Loop() {
		d := c
		d.Advise(f, night)
	}
}

// BenchmarkCopy is the floor: copying the course once.
func BenchmarkCopy(b *testing.B) {
	c, _, _ := benchCourse()
	var n uint8
	b.ReportAllocs()
	for b.Loop() {
		d := c
		n += d.N
		sink = &d
	}
	_ = n
}

var sink *Course

func BenchmarkAnswer(b *testing.B) {
	c, f, night := benchCourse()
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n++
		c.Answer(f, night-1, chart.Pain, chart.Num(n&3), chart.FromPatient)
	}
}

// BenchmarkNight is a patient's whole night: advice, confirmation, seven answers.
func BenchmarkNight(b *testing.B) {
	k := trial(&testing.T{})
	fields := [...]chart.Field{chart.Worn, chart.Pain, chart.Guide, chart.Bite, chart.BiteMinutes, chart.Snoring,
		chart.Reporter}
	values := [...]chart.Answer{chart.Num(chart.WornAll), chart.Num(0), chart.Num(chart.Yes), chart.Num(chart.BiteBoth),
		chart.Num(5), chart.Num(6), chart.Num(chart.ReporterPartner)}
	b.ReportAllocs()
	for b.Loop() {
		k.f.Plan.Fitted = k.d
		a, _ := k.c.Advise(k.f, k.d)
		k.c.Confirm(k.f, k.d, a.To, a.To)
		for i, f := range fields {
			k.c.Answer(k.f, k.d, f, values[i], chart.FromPatient)
		}
		k.d++
	}
}
