package practice

import (
	"fmt"
	"testing"
	"time"

	"duskdawn/flows/civil"
)

// Where who covers leaves nobody of a role on duty, the days and hours of it are told: by the
// rota of those days, not by who is on duty now.
func TestGaps(t *testing.T) {
	monday := civil.DateOf(2026, time.March, 2)
	staff := []Staff{{ID: "c1", Label: "Ondine", Role: Clinician, Chat: 1}, {ID: "c2", Label: "Rowan", Role: Clinician, Chat: 2},
		{ID: "a1", Label: "Teal", Role: Assistant, Chat: 3}}
	rota := []Shift{{Staff: "Rowan", From: "0 8 * * MON-FRI", To: "0 20 * * MON-FRI"}}
	cover := func(from, to int, who, whom string) Cover {
		return Cover{From: monday + civil.Date(from), To: monday + civil.Date(to), Who: who, For: whom}
	}
	for _, c := range []struct {
		name   string
		covers []Cover
		change func(*Practice)
		want   string
	}{
		{name: "nobody covers", change: func(pr *Practice) {
			pr.Rota = append(pr.Rota, Shift{Staff: "Ondine", From: "0 0 1 1 *", To: "1 0 1 1 *"})
		}},
		{name: "an assistant for everybody", covers: []Cover{cover(1, 2, "a1", "")}, want: "clinician 03-03 00:00 03-05 00:00; "},
		{name: "a clinician for everybody", covers: []Cover{cover(1, 1, "c1", "")}, want: "assistant 03-03 00:00 03-04 00:00; "},
		{name: "both, each for everybody else", covers: []Cover{cover(1, 2, "a1", ""), cover(2, 2, "c1", "")}, want: "clinician 03-03 00:00 03-04 00:00; "},
		{name: "an assistant for the one who is always there", covers: []Cover{cover(1, 1, "a1", "c1")},
			want: "clinician 03-03 00:00 03-03 08:00; clinician 03-03 20:00 03-04 00:00; "},
		{name: "the same on a Saturday, when no other comes", covers: []Cover{cover(5, 5, "a1", "c1")}, want: "clinician 03-07 00:00 03-08 00:00; "},
		{name: "one for each other", covers: []Cover{cover(1, 1, "c2", "c1")}},
		{name: "who covers cannot be reached", covers: []Cover{cover(1, 1, "a1", "")}, change: func(pr *Practice) { pr.Staff[2].Unreach = true },
			want: "none 03-03 00:00 03-04 00:00; "},
		{name: "only while the office is open", covers: []Cover{cover(1, 1, "a1", "c1")}, want: "clinician 03-03 17:00 03-03 18:00; ",
			change: func(pr *Practice) {
				pr.Rota = []Shift{{"Rowan", "0 8 * * *", "0 17 * * *"}, {"Ondine", "0 8 * * *", "0 17 * * *"}}
			}},
	} {
		pr := Practice{Staff: append([]Staff(nil), staff...), Rota: rota, Covers: c.covers}
		for d := time.Monday; d <= time.Friday; d++ {
			pr.Hours[d] = []Span{{9 * 60, 18 * 60}}
		}
		if c.change != nil {
			c.change(&pr)
		}
		got := ""
		for _, g := range pr.Gaps(monday, monday+6) {
			got += fmt.Sprintf("%s %s %s %s %s; ", g.Role, g.From.Date.String()[5:], g.From.Clock, g.To.Date.String()[5:], g.To.Clock)
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
