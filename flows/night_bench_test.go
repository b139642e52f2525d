package flows_test

import (
	"fmt"
	"syscall"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// One usual night of an active patient: the evening's prompt, the evening in a
// line, the morning's prompt, and the morning in a line that confirms the
// setting. Readings and events are made beforehand: reading is not part of
// flows.
//
// Through Work it takes 2 allocations and about 80 copies of the patient (4.3 us
// on the machine where one copy takes 51 ns), 130 button by button; through Next,
// by value, 96 allocations.
type benchNight struct {
	pr      practice.Practice
	p       flows.Patient
	events  []flows.Event // two prompts, two lines
	buttons []flows.Event // two prompts, then a press for each question
}

func newBenchNight(b *testing.B) *benchNight {
	k := start(b)
	for k.p.Course.Left < 4 || k.p.Course.Arrived > k.now.Date-3 { // until a step is due
		k.p.Talk.Weekly, k.p.Talk.WeeklyA = k.now.Date, k.now.Date // no weekly questions in between
		k.to(k.now.Date, 21, 30)
		k.say("No problem tonight")
		k.to(k.now.Date+1, 7, 0)
		k.say(morningLine(k.p.Course.Advice.To))
	}
	n := &benchNight{pr: k.pr, p: k.p}
	night := k.now.Date
	dusk, dawn := civil.Wall{Date: night, Clock: clock(21, 30)}, civil.Wall{Date: night + 1, Clock: clock(7, 0)}
	list := &n.events
	add := func(w civil.Wall, body flows.Body) {
		*list = append(*list, flows.Event{At: time.Unix(int64(w.Date)*86400+int64(w.Clock)*60, 0), Wall: w, Office: w,
			Body: body})
	}
	line := func(w civil.Wall, text string) {
		add(w, flows.Said{Chat: 1, Gen: 1, Text: text, Reading: k.w.Read(text), Wall: w})
	}
	add(dusk, flows.Due{Name: "evening", Scheduled: dusk})
	line(dusk, "no problem tonight")
	add(dawn, flows.Due{Name: "morning", Scheduled: dawn})
	line(dawn, morningLine(k.p.Course.Advice.To+1))
	list = &n.buttons
	add(dusk, flows.Due{Name: "evening", Scheduled: dusk})
	line(dusk, "No problem tonight")
	line(dusk, fmt.Sprintf("It stands at %d", k.p.Course.Advice.To+1))
	add(dawn, flows.Due{Name: "morning", Scheduled: dawn})
	for _, press := range []string{"Worn all night", "Snoring 6", "Pain 0", "Bite guide used", "Bite: both sides touch"} {
		line(dawn, press)
	}
	return n
}

func morningLine(at chart.Steps) string {
	return fmt.Sprintf("setting %d, all night, snore 6, pain 0, bite guide used, bite back after 5 min", at)
}

// check fails unless the night was lived: a step forward, confirmed, and the
// morning told.
func (n *benchNight) check(b *testing.B, p *flows.Patient) {
	b.Helper()
	e, _ := p.Course.Entry(n.events[0].Wall.Date)
	if e.Action != chart.Forward || !e.V[chart.SettingLeft].Is(int(e.To)) || !e.V[chart.Pain].Is(0) ||
		p.Talk.CheckIn != flows.NoCheckIn {
		b.Fatalf("the night was not lived: %+v", e)
	}
}

// BenchmarkPatientNight is two prompts and two one-line days: in place, as the
// cohort plays them, by value, as a store's commits do, and button by button. The copy of the
// patient that each begins with is the floor.
func BenchmarkPatientNight(b *testing.B) {
	n := newBenchNight(b)
	var p flows.Patient
	b.Run("copy", func(b *testing.B) {
		b.ReportAllocs()
		defer cpu(b)()
		for b.Loop() {
			p = n.p
		}
	})
	place := func(events []flows.Event) func(*testing.B) {
		return func(b *testing.B) {
			var w flows.Work
			b.ReportAllocs()
			defer cpu(b)()
			for b.Loop() {
				p = n.p
				for i := range events {
					w.Next(&n.pr, &p, &events[i])
				}
			}
			n.check(b, &p)
		}
	}
	b.Run("place", place(n.events))
	b.Run("buttons", place(n.buttons))
	b.Run("value", func(b *testing.B) {
		b.ReportAllocs()
		defer cpu(b)()
		for b.Loop() {
			p = n.p
			for i := range n.events {
				p, _ = flows.Next(n.pr, p, n.events[i])
			}
		}
		n.check(b, &p)
	})
}

// cpu reports the process's own time beside the wall's: on a shared machine
// the wall counts what others do. It includes the collector's.
func cpu(b *testing.B) func() {
	used := func() time.Duration {
		var u syscall.Rusage
		if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
			return 0
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	from := used()
	return func() { b.ReportMetric(float64(used()-from)/float64(b.N), "cpu-ns/op") }
}
