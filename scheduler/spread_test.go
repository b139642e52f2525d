package scheduler

import (
	"fmt"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/store"
	"duskdawn/store/memory"
)

// Few are not spread, many by about four a second, and never so far that the
// reminder, 75 minutes after the hour, would have come.
func TestWindow(t *testing.T) {
	for _, c := range []struct{ patients, minutes int }{
		{0, 0}, {1, 0}, {300, 0}, {301, 5}, {1200, 5}, {1201, 10}, {3000, 15}, {7200, 30}, {10_000, 30}, {1_000_000, 30},
	} {
		if got := Window(c.patients); got != c.minutes {
			t.Errorf("%d patients are spread over %d minutes, want %d", c.patients, got, c.minutes)
		}
	}
}

// Ten thousand patients have the same hours: their check-ins fall due over the
// window, each always in its own minute, evening and morning, across a day on
// which the clocks change; what has no slack is not moved.
func TestCheckinsAreSpread(t *testing.T) {
	const patients = 10_000
	ctx := t.Context()
	st := memory.New()
	defer st.Close()
	ref := func(i int) store.Ref {
		return PatientRef(flows.NewPatientID([16]byte{byte(i), byte(i >> 8), byte(i >> 16), 1, 2, 3, 4, 5, 6, 7,
			byte(i * 31)}))
	}
	for i := range patients {
		err := st.Update(ctx, ref(i), "enrol", time.Now(), func(store.Aggregate) (store.Change, error) {
			state := chart.Stepping.String()
			if i%5 == 4 {
				state = chart.Ended.String() // a fifth is done, and does not count
			}
			return store.Change{Summary: &store.Summary{State: state}}, nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	hour := civil.Clock(21 * 60)
	from := civil.DateOf(2026, time.October, 30) // the clocks go back on 1 November
	clock := NewManualClock(time.Date(2026, 10, 30, 12, 0, 0, 0, time.UTC))
	var night civil.Date
	r, err := New(ctx, Options{Store: st, Clock: clock, Logic: Logic{
		Patient: func(_ *practice.Practice, p *flows.Patient, _ *flows.Event) []flows.Effect {
			p.ID, p.Zone = "00X", "America/New_York"
			return []flows.Effect{
				flows.SetTimer{Name: "evening", At: civil.Wall{Date: night, Clock: hour}, Slack: chart.CheckinSlack},
				flows.SetTimer{Name: "morning", At: civil.Wall{Date: night + 1, Clock: 7 * 60}, Slack: chart.CheckinSlack},
				flows.SetTimer{Name: "short", At: civil.Wall{Date: night, Clock: hour}, Slack: 3},
				flows.SetTimer{Name: "other", At: civil.Wall{Date: night, Clock: hour}},
			}
		},
	}})
	if err != nil {
		t.Fatal(err)
	}
	if err := r.census(ctx); err != nil {
		t.Fatal(err)
	}
	window := Window(patients * 4 / 5)
	sample := patients / 10
	place := map[store.Ref]int{}
	for night = from; night < from+4; night++ {
		counts := make([]int, window)
		for i := range sample {
			if err := r.Handle(ctx, ref(i), fmt.Sprint("night ", night), flows.Reached{}); err != nil {
				t.Fatal(err)
			}
			for m, err := range st.Pending(ctx, ref(i)) {
				if err != nil {
					t.Fatal(err)
				}
				w := r.wall("America/New_York", m.At)
				late := int(w.Clock - hour)
				switch m.Name {
				case "morning":
					late = int(w.Clock - 7*60)
				case "other":
					if late != 0 {
						t.Fatalf("what has no slack comes %d minutes late", late)
					}
					continue
				case "short":
					if late < 0 || late > 2 {
						t.Fatalf("a slack of 3 minutes became %d", late)
					}
					continue
				}
				if was, known := place[ref(i)]; late < 0 || late >= window || known && was != late {
					t.Fatalf("%s: %s comes %d minutes after its hour, and %d before", ref(i), m.Name, late, was)
				}
				place[ref(i)] = late
				if m.Name == "evening" {
					counts[late]++
				}
			}
		}
		for minute, n := range counts {
			if even := sample / window; n < even/2 || n > 2*even {
				t.Errorf("minute %d has %d of %d", minute, n, sample)
			}
		}
	}
}
