package scheduler

import (
	"errors"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/flows/civil"
)

// wall reads "2026-03-08 02:30".
func wall(t testing.TB, s string) civil.Wall {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04", s)
	if err != nil {
		t.Fatal(err)
	}
	return wallOf(at.Unix())
}

func zone(t testing.TB, zs *Zones, name string) Zone {
	t.Helper()
	z, err := zs.Load(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func utc(t time.Time) string { return t.UTC().Format("2006-01-02T15:04Z") }

// The rule is that of RFC 5545 section 3.3.5 (doi 10.17487/RFC5545), its two
// examples in New York first. The dates of the shifts are those of the IANA zone
// database, release 2025c.
func TestInstant(t *testing.T) {
	zs := NewZones()
	for _, c := range []struct{ zone, wall, want, shown string }{
		{"America/New_York", "2007-03-11 02:30", "2007-03-11T07:30Z", "2007-03-11 03:30"}, // RFC 5545: means 03:30 EDT
		{"America/New_York", "2007-11-04 01:30", "2007-11-04T05:30Z", "2007-11-04 01:30"}, // RFC 5545: means 01:30 EDT
		{"America/New_York", "2026-03-07 22:00", "2026-03-08T03:00Z", ""},
		{"America/New_York", "2026-03-08 22:00", "2026-03-09T02:00Z", ""}, // 23 hours later
		{"Europe/Madrid", "2026-03-29 02:00", "2026-03-29T01:00Z", "2026-03-29 03:00"},
		{"Europe/Madrid", "2026-03-29 01:59", "2026-03-29T00:59Z", ""},
		{"Europe/Madrid", "2026-10-25 02:30", "2026-10-25T00:30Z", ""},
		{"Australia/Lord_Howe", "2026-10-04 02:15", "2026-10-03T15:45Z", "2026-10-04 02:45"}, // half an hour
		{"Australia/Lord_Howe", "2026-04-05 01:45", "2026-04-04T14:45Z", ""},
		{"Antarctica/Troll", "2026-03-29 02:00", "2026-03-29T02:00Z", "2026-03-29 04:00"}, // two hours
		{"Antarctica/Troll", "2026-10-25 02:00", "2026-10-25T00:00Z", ""},
		{"Pacific/Chatham", "2026-09-27 03:00", "2026-09-26T14:15Z", "2026-09-27 04:00"},
		{"Pacific/Apia", "2011-12-30 10:00", "2011-12-30T20:00Z", "2011-12-31 10:00"}, // no such day
		{"Pacific/Apia", "2011-12-29 23:59", "2011-12-30T09:59Z", ""},
		{"Pacific/Apia", "2011-12-31 00:00", "2011-12-30T10:00Z", ""},
		{"Africa/Casablanca", "2026-02-15 02:30", "2026-02-15T01:30Z", ""}, // Ramadan: back, and forward after
		{"Africa/Casablanca", "2026-03-22 02:30", "2026-03-22T02:30Z", "2026-03-22 03:30"},
		{"Africa/Cairo", "2026-04-24 00:00", "2026-04-23T22:00Z", "2026-04-24 01:00"}, // midnight jumped over
		{"Africa/Cairo", "2026-10-29 23:30", "2026-10-29T20:30Z", ""},
		{"Africa/Cairo", "2026-10-30 00:00", "2026-10-29T22:00Z", ""},
		{"America/Nuuk", "2026-03-28 23:30", "2026-03-29T01:30Z", "2026-03-29 00:30"}, // into the next day
		{"America/New_York", "2040-12-31 12:00", "2040-12-31T17:00Z", ""},             // the last day of a leap year, see stretch
		{"Pacific/Auckland", "2040-12-31 23:59", "2040-12-31T10:59Z", ""},
		{"UTC", "1969-12-31 23:59", "1969-12-31T23:59Z", ""},
	} {
		z, w := zone(t, zs, c.zone), wall(t, c.wall)
		got := z.Instant(w)
		if utc(got) != c.want {
			t.Errorf("%s %s is %s, want %s", c.zone, c.wall, utc(got), c.want)
		}
		if c.shown == "" {
			c.shown = c.wall
		}
		if shown := z.Wall(got); shown != wall(t, c.shown) {
			t.Errorf("%s at %s shows %s %s, want %s", c.zone, utc(got), shown.Date, shown.Clock, c.shown)
		}
	}
}

// Every shift of every zone from 2026 to 2028, against Python's zoneinfo;
// testdata/wall/make.py says how the table was made, make.mjs how the Temporal
// polyfill confirmed it. A row whose zone has other rules in the zone data of
// this host checks nothing and is listed; a tenth of the rows at most may be so.
func TestShiftsOfEveryZone(t *testing.T) {
	text, err := os.ReadFile("../testdata/wall/shifts.csv")
	if err != nil {
		t.Fatal(err)
	}
	zs := NewZones()
	rows, otherRules := strings.Split(strings.TrimSpace(string(text)), "\n")[2:], []string{}
	for _, row := range rows {
		name, rest, _ := strings.Cut(row, ",")
		var n []int64
		for f := range strings.SplitSeq(rest, ",") {
			v, err := strconv.ParseInt(f, 10, 64)
			if err != nil {
				t.Fatalf("%s: %v", row, err)
			}
			n = append(n, v)
		}
		shift, before, after := n[0], n[1]/60, n[2]/60
		z, err := zs.Load(name)
		if err != nil || offsetAt(z, shift*60-1) != n[1] || offsetAt(z, shift*60) != n[2] {
			otherRules = append(otherRules, row)
			continue
		}
		low, high := shift+min(before, after), shift+max(before, after)
		for i, local := range []int64{low - 1, low, low + (high-low)/2, high - 1, high} {
			w := wallOf(local * 60)
			if got := z.Instant(w).Unix()/60 - shift; got != n[3+i] {
				t.Errorf("%s %s %s: %d minutes after the shift, want %d", name, w.Date, w.Clock, got, n[3+i])
			}
		}
	}
	if len(rows) < 1200 || len(otherRules)*10 > len(rows) {
		t.Fatalf("of %d rows %d have other rules in the zone data %s", len(rows), len(otherRules), DataVersion())
	}
	if len(otherRules) > 0 {
		t.Logf("zone data %s have other rules than the table's release:\n%s", DataVersion(), strings.Join(otherRules, "\n"))
	}
}

func offsetAt(z Zone, unix int64) int64 {
	_, offset := time.Unix(unix, 0).In(z.location()).Zone()
	return int64(offset)
}

// Exactly one evening and one morning check-in belong to every night of three
// years, in every zone, in their order, within their night, and the next evening
// comes after the morning.
func TestOneEveningAndOneMorningANight(t *testing.T) {
	zs := NewZones()
	type hours struct{ boundary, evening, morning civil.Clock }
	var all []hours
	for _, evening := range []civil.Clock{20 * 60, 21*60 + 30, 22*60 + 30, 23 * 60, 23*60 + 59, 0, 2*60 + 30} {
		all = append(all, hours{0, evening, 7*60 + 30})
	}
	all = append(all, hours{20 * 60, 9 * 60, 18*60 + 30}, // sleeps by day
		hours{0, 1*60 + 59, 5 * 60}, hours{0, 23*60 + 30, 2*60 + 30})
	from, to := civil.DateOf(2026, 1, 1), civil.DateOf(2029, 1, 1)
	seen := map[string]bool{}
	for _, name := range zoneList(t) {
		z := zone(t, zs, name)
		same := rules(z.location(), from.Time(), to.Time())
		if seen[same] { // the same clocks under another name
			continue
		}
		seen[same] = true
		shifting := same != rules(z.location(), from.Time(), from.Time().AddDate(0, 0, 1))
		for i, h := range all {
			if shifting || i == len(seen)%len(all) { // without shifts one set of hours will do
				checkNights(t, z, from, to, h.boundary, h.evening, h.morning)
			}
		}
	}
	if len(seen) < 60 {
		t.Errorf("only %d different zones", len(seen))
	}
}

func checkNights(t *testing.T, z Zone, from, to civil.Date, boundary, evening, morning civil.Clock) {
	t.Helper()
	// Walk it as the timers do: from a prompt to the next instant at which its
	// local clock comes. Each must be the one that the night names.
	first, _ := z.Span(from, boundary)
	atE, atM := z.Next(first.Add(-time.Minute), evening), z.Next(first.Add(-time.Minute), morning)
	for night := from; night < to; night++ {
		e, ok1 := z.CheckIn(night, boundary, evening)
		m, ok2 := z.CheckIn(night, boundary, morning)
		if !ok1 || !ok2 {
			start, end := z.Span(night, boundary)
			if start.Before(end) {
				t.Fatalf("%s: night %s has no check-ins", z.Name(), night)
			}
			continue
		}
		if !e.Equal(atE) || !m.Equal(atM) {
			t.Fatalf("%s, night %s: evening %s and morning %s, but the clocks come at %s and %s", z.Name(), night, utc(e),
				utc(m), utc(atE), utc(atM))
		}
		if z.Night(e, boundary) != night || z.Night(m, boundary) != night {
			t.Fatalf("%s: check-ins of night %s at %s and %s lie in %s and %s", z.Name(), night, utc(e), utc(m),
				z.Night(e, boundary), z.Night(m, boundary))
		}
		if !e.Before(m) {
			t.Fatalf("%s, night %s: the morning %s is not after the evening %s", z.Name(), night, utc(m), utc(e))
		}
		atE, atM = z.Next(e, evening), z.Next(m, morning)
		if !m.Before(atE) {
			t.Fatalf("%s, night %s: the next evening %s is not after the morning %s", z.Name(), night, utc(atE), utc(m))
		}
	}
}

// Samoa went over the date line at the end of 2011-12-29; IANA zone database,
// northamerica and australasia files: no 2011-12-30.
func TestNightThatNeverWas(t *testing.T) {
	z := zone(t, NewZones(), "Pacific/Apia")
	gone := civil.DateOf(2011, 12, 30)
	checkNights(t, z, gone-30, gone+30, 0, 21*60, 7*60+30)
	if at, ok := z.CheckIn(gone, 0, 21*60); ok {
		t.Errorf("the night of 2011-12-30 has an evening at %s", utc(at))
	}
	if n := z.Night(z.Instant(wall(t, "2011-12-31 07:30")), 0); n != gone-1 {
		t.Errorf("the morning of the 31st ends night %s", n)
	}
}

func TestNextGoesByTheCalendar(t *testing.T) {
	zs := NewZones()
	for _, c := range []struct {
		zone, after string
		clock       civil.Clock
		want        string
	}{
		{"America/New_York", "2026-03-08T03:00Z", 22 * 60, "2026-03-09T02:00Z"}, // 23 hours
		{"America/New_York", "2026-11-01T02:00Z", 22 * 60, "2026-11-02T03:00Z"}, // 25 hours
		{"America/New_York", "2026-11-01T05:30Z", 90, "2026-11-02T06:30Z"},      // 01:30 comes again, an hour later
		{"America/New_York", "2026-03-08T07:15Z", 150, "2026-03-08T07:30Z"},     // 02:30 was jumped over, and is still to come
		{"Africa/Cairo", "2026-04-22T22:00Z", 0, "2026-04-23T22:00Z"},
		{"Africa/Cairo", "2026-04-23T22:00Z", 0, "2026-04-24T21:00Z"},
	} {
		after, err := time.Parse("2006-01-02T15:04Z", c.after)
		if err != nil {
			t.Fatal(err)
		}
		if got := utc(zone(t, zs, c.zone).Next(after, c.clock)); got != c.want {
			t.Errorf("%s, %s after %s: %s, want %s", c.zone, c.clock, c.after, got, c.want)
		}
	}
}

func TestHoursWorn(t *testing.T) {
	z := zone(t, NewZones(), "Europe/Madrid")
	for _, c := range []struct {
		from, to string
		want     time.Duration
	}{
		{"2026-03-27 23:00", "2026-03-28 06:30", 450 * time.Minute},
		{"2026-03-28 23:00", "2026-03-29 06:30", 390 * time.Minute},
		{"2026-10-24 23:00", "2026-10-25 06:30", 510 * time.Minute},
	} {
		if got := z.Between(wall(t, c.from), wall(t, c.to)); got != c.want {
			t.Errorf("from %s to %s: %s, want %s", c.from, c.to, got, c.want)
		}
	}
}

func TestNightKey(t *testing.T) {
	z := zone(t, NewZones(), "America/Lima")
	for _, c := range []struct {
		at       string
		boundary civil.Clock
		want     string
	}{
		{"2026-11-04 07:00", 0, "2026-11-03"}, // a report on Wednesday morning is Tuesday's night
		{"2026-11-04 11:59", 0, "2026-11-03"},
		{"2026-11-04 12:00", 0, "2026-11-04"},
		{"2026-11-05 00:10", civil.Noon, "2026-11-04"},
		{"2026-11-04 18:00", 20 * 60, "2026-11-03"}, // sleeps by day
		{"2026-11-04 20:00", 20 * 60, "2026-11-04"},
	} {
		if got := z.Night(z.Instant(wall(t, c.at)).Add(59*time.Second), c.boundary).String(); got != c.want {
			t.Errorf("%s with a boundary at %s: night %s, want %s", c.at, c.boundary, got, c.want)
		}
	}
}

func TestLoad(t *testing.T) {
	zs := NewZones()
	for _, bad := range []string{"", "Local", "Europe/Nowhere", "../Europe/Madrid", "/etc/passwd", "right/Europe/Madrid",
		"posix/Europe/Madrid", "Europe", "\x00"} {
		if z, err := zs.Load(bad); !errors.Is(err, ErrZone) {
			t.Errorf("loading %q: %v, %v", bad, z.Name(), err)
		}
	}
	madrid, paris := zone(t, zs, "Europe/Madrid"), zone(t, zs, "Europe/Paris")
	if madrid.Name() != "Europe/Madrid" || madrid.Basis() != paris.Basis() ||
		madrid.Basis() == zone(t, zs, "Europe/London").Basis() {
		t.Errorf("names and bases: %s %s, %s %s", madrid.Name(), madrid.Basis(), paris.Name(), paris.Basis())
	}
	if (Zone{}).Name() != "UTC" || (Zone{}).Basis() != zone(t, zs, "UTC").Basis() {
		t.Error("the zero zone is not UTC")
	}
	if DataVersion() == "" {
		t.Error("no version of the zone data")
	}
}

// zoneList returns every name of zones.txt.
func zoneList(t testing.TB) []string {
	t.Helper()
	var names []string
	for line := range strings.Lines(zonesText) {
		if name, _, _ := strings.Cut(strings.TrimSpace(line), " = "); name != "" && name[0] != '#' {
			names = append(names, name)
		}
	}
	if len(names) < 590 {
		t.Fatalf("only %d names", len(names))
	}
	return names
}

func BenchmarkInstant(b *testing.B) {
	z := zone(b, NewZones(), "America/New_York")
	w := wall(b, "2026-03-08 02:30")
	for b.Loop() {
		z.Instant(w)
	}
}
