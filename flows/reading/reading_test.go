package reading

import (
	"testing"
	"time"

	"duskdawn/flows/civil"
)

func TestDayDate(t *testing.T) {
	tuesday := civil.DateOf(2026, time.November, 3)
	for _, c := range []struct {
		day  Day
		want string
	}{
		{Day{DaysAgo, 0, 0}, "2026-11-03"},
		{Day{DaysAgo, 1, 0}, "2026-11-02"},
		{Day{DayWeek, int8(time.Tuesday), 0}, "2026-11-03"},
		{Day{DayWeek, int8(time.Wednesday), 0}, "2026-10-28"},
		{Day{DayWeek, int8(time.Monday), 0}, "2026-11-02"},
		{Day{DayMonth, 3, 11}, "2026-11-03"},
		{Day{DayMonth, 4, 11}, "2025-11-04"},
		{Day{DayMonth, 29, 2}, "2024-02-29"},
		{Day{DayMonth, 30, 2}, ""},
		{Day{}, ""},
	} {
		got, ok := c.day.Date(tuesday)
		if ok != (c.want != "") || ok && got.String() != c.want {
			t.Errorf("%+v: got %v, %v, want %q", c.day, got, ok, c.want)
		}
	}
}
