package scheduler

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

func rota(t testing.TB, line string) Rota {
	t.Helper()
	r, err := ParseRota(line)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestParseRota(t *testing.T) {
	for _, bad := range []string{
		"", "8", "0 8 * *", "0 8 * * 1-5 *", "60 8 * * *", "0 24 * * *", "0 8 * * 8", "0 8 * * mo", "*/0 * * * *", "5-1 * * * *",
		"TZ=Europe/Berlin", "CRON_TZ=Europe/Berlin 0 8 * * *", "@daily", "@every 1h",
		"0 8 31 2 *", "0 8 31 4,6,9,11 *", "0 8 30 2 *",
	} {
		if _, err := ParseRota(bad); !errors.Is(err, ErrRota) {
			t.Errorf("%q: %v", bad, err)
		}
	}
	if _, err := ParseRota("0 8 31 2 *"); err == nil || !strings.Contains(err.Error(), "no calendar has that day") {
		t.Errorf("31 February: %v", err)
	}
	for _, good := range []string{"0 8 * * 1-5", "*/15 8-17 * * mon-fri", "0 8 29 2 *", "30 17 1,15 * *",
		"\t0  8 * * 0 "} {
		if _, err := ParseRota(good); err != nil {
			t.Errorf("%q: %v", good, err)
		}
	}
	if _, ok := (Rota{}).NextWall(civil.Wall{}); ok {
		t.Error("a rota of no line comes")
	}
	if _, ok := (Rota{}).Next(time.Now(), Zone{}); ok {
		t.Error("a rota of no line comes in a zone")
	}
}

// The days of the week of 2026 and the leap years: ISO 8601, the Gregorian
// calendar; 2100 is no leap year.
func TestNextWall(t *testing.T) {
	for _, c := range []struct{ line, after, want string }{
		{"0 8 * * 1-5", "2026-11-25 07:59", "2026-11-25 08:00"},
		{"0 8 * * 1-5", "2026-11-25 08:00", "2026-11-26 08:00"},
		{"0 8 * * 1-5", "2026-11-27 08:00", "2026-11-30 08:00"}, // Friday to Monday
		{"0 8 29 2 *", "2026-11-25 00:00", "2028-02-29 08:00"},
		{"0 8 29 2 *", "2096-02-29 08:00", "2104-02-29 08:00"},
		{"30 2 29 3 *", "2026-01-01 00:00", "2026-03-29 02:30"}, // the wall knows no gap
		{"0 8 13 * 5", "2026-11-25 00:00", "2026-11-27 08:00"},  // a Friday or a 13th
	} {
		if got, ok := rota(t, c.line).NextWall(wall(t, c.after)); !ok || got != wall(t, c.want) {
			t.Errorf("%q after %s: %s %s %v, want %s", c.line, c.after, got.Date, got.Clock, ok, c.want)
		}
	}
}

// Every zone, 2024 to 2028, twelve times of the day: each comes once on each
// day, none is skipped and none doubled. All days within two of a shift are
// looked at, of the others a twentieth.
func TestRotaOnceADayInEveryZone(t *testing.T) {
	zs := NewZones()
	from, to := civil.DateOf(2024, 1, 1), civil.DateOf(2029, 1, 1)
	var lines []Rota
	var clocks []civil.Clock
	for _, c := range []string{"00:00", "00:30", "01:00", "01:30", "02:00", "02:30", "03:15", "08:00", "12:00", "20:30",
		"23:00", "23:59"} {
		w := wall(t, "2026-01-01 "+c)
		clocks = append(clocks, w.Clock)
		lines = append(lines, rota(t, fmt.Sprintf("%d %d * * *", w.Clock%60, w.Clock/60)))
	}
	seen := map[string]bool{}
	fires := 0
	for _, name := range zoneList(t) {
		z := zone(t, zs, name)
		if seen[z.Basis()] {
			continue
		}
		seen[z.Basis()] = true
		shifts := shiftDays(z, from, to)
		for i, line := range lines {
			for d := from; d < to; d++ {
				if !shifts[d] && (int(d)+i+len(seen))%20 != 0 { // far from a shift, a sample
					continue
				}
				fires++
				at := z.Instant(civil.Wall{Date: d, Clock: clocks[i]})
				if !shownAt(z, at, d, clocks[i]) {
					t.Fatalf("%s: %s of %s comes at %s", name, clocks[i], d, utc(at))
				}
				next, ok := line.Next(at.Add(-time.Second), z)
				after, ok2 := line.Next(at, z)
				tomorrow := z.Instant(civil.Wall{Date: d + 1, Clock: clocks[i]})
				if !ok || !ok2 || !next.Equal(at) || !after.Equal(tomorrow) {
					t.Fatalf("%s %s %s: comes at %s, then %s; want %s, then %s", name, d, clocks[i], utc(next), utc(after), utc(at),
						utc(tomorrow))
				}
			}
		}
	}
	if fires < 50_000 {
		t.Errorf("only %d", fires)
	}
}

// shiftDays marks the days within two of a shift.
func shiftDays(z Zone, from, to civil.Date) map[civil.Date]bool {
	days := map[civil.Date]bool{}
	end := to.Time()
	for t := from.Time().In(z.location()); ; {
		_, next := stretch(t)
		if next.IsZero() || next.After(end) {
			return days
		}
		for d := z.Wall(next).Date - 2; d <= z.Wall(next).Date+2; d++ {
			days[d] = true
		}
		t = next
	}
}

// shownAt reports whether a clock shows the wall time at that instant, or had
// jumped over it at most two hours before.
func shownAt(z Zone, at time.Time, d civil.Date, c civil.Clock) bool {
	shown, want := localOf(z.Wall(at)), localOf(civil.Wall{Date: d, Clock: c})
	if shown == want {
		return true
	}
	start, _ := at.In(z.location()).ZoneBounds()
	return shown > want && shown-want <= 2*3600 && at.Sub(start) < 2*time.Hour
}

// What the library alone gets wrong, through the zone: Berlin's skipped and
// doubled 02:30, Cairo's midnight, Lord Howe's eight o'clock.
func TestRotaThroughShifts(t *testing.T) {
	zs := NewZones()
	for _, c := range []struct{ zone, line, after, want string }{
		{"Europe/Berlin", "30 2 * * *", "2026-03-28T01:30Z", "2026-03-29T01:30Z"},
		{"Europe/Berlin", "30 2 * * *", "2026-03-29T01:15Z", "2026-03-29T01:30Z"}, // at 03:15 the 02:30 is still to come
		{"Europe/Berlin", "30 2 * * *", "2026-10-25T00:30Z", "2026-10-26T01:30Z"},
		{"Europe/Berlin", "30 2 * * *", "2026-10-25T01:10Z", "2026-10-26T01:30Z"}, // 02:10 again
		{"Africa/Cairo", "0 0 * * *", "2026-04-22T22:00Z", "2026-04-23T22:00Z"},
		{"Australia/Lord_Howe", "0 8 * * *", "2026-10-03T12:00Z", "2026-10-03T21:00Z"},
		{"Australia/Lord_Howe", "15,35 2 * * *", "2026-10-03T15:00Z", "2026-10-03T15:35Z"}, // 02:35, and the 02:15 jumped over
		{"Australia/Lord_Howe", "15,35 2 * * *", "2026-10-03T15:35Z", "2026-10-03T15:45Z"}, // at 02:45
		{"Australia/Lord_Howe", "15,35 2 * * *", "2026-10-03T15:45Z", "2026-10-04T15:15Z"},
		{"Europe/Berlin", "*/15 * * * *", "2026-03-29T00:45Z", "2026-03-29T01:00Z"},
		{"Europe/Berlin", "*/15 * * * *", "2026-03-29T01:45Z", "2026-03-29T02:00Z"},
		{"Europe/Berlin", "0 8 * * 1-5", "2026-03-27T07:00Z", "2026-03-30T06:00Z"},
		{"Pacific/Apia", "0 8 30 12 *", "2011-12-01T00:00Z", "2011-12-30T18:00Z"}, // the day that never was: the next one
	} {
		after, err := time.Parse("2006-01-02T15:04Z", c.after)
		if err != nil {
			t.Fatal(err)
		}
		got, ok := rota(t, c.line).Next(after, zone(t, zs, c.zone))
		if !ok || utc(got) != c.want {
			t.Errorf("%s %q after %s: %s, want %s", c.zone, c.line, c.after, utc(got), c.want)
		}
	}
}

func TestOnDuty(t *testing.T) {
	from, to := rota(t, "0 8 * * 1-5"), rota(t, "30 17 * * 1-5")
	for _, c := range []struct {
		at string
		on bool
	}{
		{"2026-11-25 07:59", false}, {"2026-11-25 08:00", true}, {"2026-11-25 17:29", true}, {"2026-11-25 17:30", false}, {"2026-11-28 12:00", false},
	} {
		if got := OnDuty(from, to, wall(t, c.at)); got != c.on {
			t.Errorf("at %s: %v", c.at, got)
		}
	}
	if day := rota(t, "0 8 * * *"); !OnDuty(day, day, wall(t, "2026-11-25 12:00")) {
		t.Error("a shift that ends as it begins again is not round the clock")
	}
}

func FuzzParseRota(f *testing.F) {
	for _, s := range []string{"0 8 * * 1-5", "TZ=", "CRON_TZ=x", "@every", "*/99999999999999999999 * * * *",
		"0-59/18446744073709551615 * * * *", "? ? ? ? ?"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		r, err := ParseRota(line)
		if err != nil {
			if !errors.Is(err, ErrRota) {
				t.Errorf("%q: %v", line, err)
			}
			return
		}
		if next, ok := r.NextWall(civil.Wall{}); !ok || !(civil.Wall{}).Before(next) {
			t.Errorf("%q is taken, and never comes", line)
		}
	})
}

func TestOffDuty(t *testing.T) {
	shifts := []practice.Shift{{Staff: "A", From: "0 8 * * MON,WED", To: "0 20 * * MON,WED"},
		{Staff: "B", From: "0 8 * * TUE", To: "0 20 * * TUE"}, {Staff: "C", From: "no", To: "no"}}
	for _, c := range []struct {
		day   int // of March 2026; the 2nd is a Monday
		clock civil.Clock
		off   string
	}{{2, 600, "B"}, {3, 600, "A"}, {3, 1320, "A B"}, {7, 600, "A B"}} {
		w := civil.Wall{Date: civil.DateOf(2026, time.March, c.day), Clock: c.clock}
		if got := strings.Join(OffDuty(shifts, w), " "); got != c.off {
			t.Errorf("%v: off %q, want %q", w, got, c.off)
		}
	}
}

// The practice's own reading of a line, by which the desk tells a gap before it is there, is
// that of the timers.
func TestRotaReadAlike(t *testing.T) {
	day := civil.DateOf(2026, time.March, 2)
	pr := practice.Practice{Staff: []practice.Staff{{ID: "a", Label: "A", Role: practice.Clinician, Chat: 1},
		{ID: "b", Label: "B", Role: practice.Assistant, Chat: 2}}}
	for i, x := range [][2]string{{"0 8 * * MON-FRI", "0 20 * * MON-FRI"}, {"30 7 */2 * *", "15 19 */2 * *"}, {"0 8 2-8 * MON", "0 18 2-8 * MON"},
		{"0 8,15 * MAR sun,tue-thu", "0 12,19 * mar SUN,TUE-THU"}, {"0/40 6-9/3 * * ?", "5 10 ? * *"}, {"0 8 * * mon#2", "0 9 * * *"},
		{"0 8 */1 * MON", "0 9 * * MON"}, {"0 22 * * 5", "0 6 * * 1"}, {"0 8 1 JAN *", "0 9 1 JAN *"}, {"0 8 * *", "0 9 * * *"}, {"0 8 31-2 * *", "0 9 * * *"}} {
		pr.Rota = []practice.Shift{{Staff: "A", From: x[0], To: x[1]}}
		pr.Covers = []practice.Cover{{From: day, To: day + 20, Who: "b", For: "a"}} // so each minute of A's duty is a gap
		gaps := pr.Gaps(day, day+20)
		for w := (civil.Wall{Date: day}); w.Date <= day+20; w = w.Add(5) {
			on := len(OffDuty(pr.Rota, w)) == 0
			told := slices.ContainsFunc(gaps, func(g practice.Gap) bool { return !w.Before(g.From) && w.Before(g.To) })
			if on != told {
				t.Errorf("%d %v at %v: on duty %v, a gap %v", i, x, w, on, told)
				break
			}
		}
	}
}
