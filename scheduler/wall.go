package scheduler

import (
	"errors"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"time"
	_ "time/tzdata" // a host without zone data still has every zone

	"duskdawn/flows/civil"
)

// ErrZone is returned for a name that no zone has.
var ErrZone = errors.New("no such time zone")

// Zone turns wall time into instants and back. It is a value; the zero Zone is
// UTC.
//
// A wall time that the clocks jump over, or show twice, is resolved by RFC 5545
// section 3.3.5 (doi 10.17487/RFC5545): in a gap with the offset before it, so
// that 02:30 becomes 03:30; in an overlap as the first of the two. time.Date
// promises neither, and does it differently east and west of Greenwich.
type Zone struct {
	loc   *time.Location
	basis string
}

// Name returns the IANA name.
func (z Zone) Name() string { return z.location().String() }

// Basis names the rules of this zone in the zone data in use: eight digits that
// change when the offsets from 2020 to 2050 do. A timer that was planned on
// another basis has to be planned again.
func (z Zone) Basis() string {
	if z.loc == nil {
		return basis(time.UTC)
	}
	return z.basis
}

// Wall returns what a clock on the wall shows at t; seconds are dropped.
func (z Zone) Wall(t time.Time) civil.Wall {
	_, offset := t.In(z.location()).Zone()
	return wallOf(t.Unix() + int64(offset))
}

// Instant returns when the clocks show w. On a day that the zone left out
// (Apia, 2011-12-30) the offset before holds too, so it falls on the next day.
func (z Zone) Instant(w civil.Wall) time.Time {
	local := localOf(w)
	// Walk the stretches of one offset. The first begins before w could have
	// come anywhere on Earth, so the first that holds w is its first occurrence.
	t := time.Unix(local-26*3600, 0).In(z.location())
	_, before := t.Zone()
	for {
		_, offset := t.Zone()
		start, end := stretch(t)
		at := time.Unix(local-int64(offset), 0)
		switch {
		case !start.IsZero() && at.Before(start): // jumped over
			return time.Unix(local-int64(before), 0).UTC()
		case end.IsZero() || at.Before(end):
			return at.UTC()
		}
		t, before = end, offset
	}
}

// Next returns the first instant after t at which the local clock comes, by the
// calendar: the time until then may be 23 or 25 hours. A clock that a day shows
// twice comes once on it.
func (z Zone) Next(t time.Time, c civil.Clock) time.Time {
	for d := z.Wall(t).Date - 1; ; d++ {
		if at := z.Instant(civil.Wall{Date: d, Clock: c}); at.After(t) {
			return at
		}
	}
}

// Between returns the real time from one wall time to another; from 23:00 to
// 06:30 it is 6.5 hours when the clocks go forward and 8.5 when they go back.
func (z Zone) Between(from, to civil.Wall) time.Duration {
	return z.Instant(to).Sub(z.Instant(from))
}

// Night returns the night that t belongs to: from the boundary clock of one day
// to the same of the next, named by the first. As in a plan, a boundary of 0
// means noon. It agrees with Wall.Night but where the boundary itself is jumped
// over or comes twice, and on a day that the zone left out.
func (z Zone) Night(t time.Time, boundary civil.Clock) civil.Date {
	for d := z.Wall(t).Date + 1; ; d-- {
		if start, _ := z.Span(d, boundary); !t.Before(start) {
			return d
		}
	}
}

// Span returns where a night begins and where the next one does. The two are
// equal for a night that the zone left out.
func (z Zone) Span(night civil.Date, boundary civil.Clock) (start, end time.Time) {
	if boundary == 0 {
		boundary = civil.Noon
	}
	return z.Instant(civil.Wall{Date: night, Clock: boundary}), z.Instant(civil.Wall{Date: night + 1, Clock: boundary})
}

// CheckIn returns when a check-in of that clock is due in a night: on its first
// day from the boundary on, on its second before it. It is false for a night
// that the zone left out. Where the clocks jump over a check-in it comes late, by two
// hours at most, so the two of a night should lie further apart than that.
func (z Zone) CheckIn(night civil.Date, boundary, c civil.Clock) (time.Time, bool) {
	start, end := z.Span(night, boundary)
	if start.Equal(end) {
		return time.Time{}, false
	}
	if boundary == 0 {
		boundary = civil.Noon
	}
	w := civil.Wall{Date: night, Clock: c}
	if c < boundary {
		w.Date++
	}
	return z.Instant(w), true
}

func (z Zone) location() *time.Location {
	if z.loc == nil {
		return time.UTC
	}
	return z.loc
}

// stretch returns a time around t in which the offset is the same; a zero time
// is an end that never comes. The end is after t. By Go 1.26 ZoneBounds gives
// every year 365 days where a rule goes on for ever, so that on the last day of
// a leap year its end has passed already.
func stretch(t time.Time) (start, end time.Time) {
	start, end = t.ZoneBounds()
	if !end.IsZero() && !end.After(t) {
		end = time.Date(t.UTC().Year()+1, time.January, 1, 0, 0, 0, 0, time.UTC).In(t.Location())
	}
	return start, end
}

// localOf counts the seconds to w as if its clock were that of UTC.
func localOf(w civil.Wall) int64 { return int64(w.Date)*86400 + int64(w.Clock)*60 }

func wallOf(local int64) civil.Wall {
	day := local / 86400
	if local%86400 < 0 {
		day--
	}
	return civil.Wall{Date: civil.Date(day), Clock: civil.Clock((local - day*86400) / 60)}
}

// Zones loads zones and keeps them. The data are those of the ZONEINFO
// variable, else the host's, else the ones built in.
type Zones struct {
	mu     sync.Mutex
	loaded map[string]Zone
}

// NewZones returns an empty cache.
func NewZones() *Zones {
	return &Zones{loaded: map[string]Zone{}}
}

// Load returns the zone of an IANA name, or ErrZone.
func (zs *Zones) Load(name string) (Zone, error) {
	zs.mu.Lock()
	defer zs.mu.Unlock()
	if z, ok := zs.loaded[name]; ok {
		return z, nil
	}
	// These load, but not as a zone of the patient: the host's own, and copies
	// that a host may keep, the second of them counting leap seconds.
	if name == "" || name == "Local" || strings.HasPrefix(name, "posix/") || strings.HasPrefix(name, "right/") {
		return Zone{}, fmt.Errorf("loading time zone %q: %w", name, ErrZone)
	}
	loc, err := time.LoadLocation(name)
	if err != nil {
		return Zone{}, fmt.Errorf("loading time zone %q: %w", name, ErrZone)
	}
	z := Zone{loc: loc, basis: basis(loc)}
	zs.loaded[name] = z
	return z, nil
}

// DataVersion says for people which zone data are in use, "2025c in
// /usr/share/zoneinfo" or "built in by go1.26". Timers go by Basis.
func DataVersion() string {
	if path := os.Getenv("ZONEINFO"); path != "" {
		return dataRelease(path) + " in " + path
	}
	// The places where the time package looks, in its order.
	for _, dir := range []string{"/usr/share/zoneinfo", "/usr/share/lib/zoneinfo", "/usr/lib/locale/TZ", "/etc/zoneinfo"} {
		if _, err := os.Stat(filepath.Join(dir, "Europe")); err == nil {
			return dataRelease(dir) + " in " + dir
		}
	}
	return "built in by " + runtime.Version()
}

// dataRelease reads the release from the two files that may tell it.
func dataRelease(dir string) string {
	for _, name := range []string{"tzdata.zi", "+VERSION"} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			continue
		}
		line, _, _ := strings.Cut(string(text), "\n")
		return strings.TrimSpace(strings.TrimPrefix(line, "# version"))
	}
	return "unknown release"
}

// basis hashes the offsets of a zone and when they change.
func basis(loc *time.Location) string {
	return rules(loc, time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2050, 1, 1, 0, 0, 0, 0, time.UTC))
}

// rules hashes them for a stretch of time: two zones with the same hash keep
// the same clocks through it.
func rules(loc *time.Location, from, to time.Time) string {
	h := fnv.New32a()
	t, last := from.In(loc), 1<<30
	for t.Before(to) {
		_, offset := t.Zone()
		if offset != last { // a mere change of the abbreviation does not count
			fmt.Fprintln(h, t.Unix(), offset)
			last = offset
		}
		_, end := stretch(t)
		if end.IsZero() {
			break
		}
		t = end
	}
	return fmt.Sprintf("%08x", h.Sum32())
}
