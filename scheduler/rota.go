package scheduler

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/robfig/cron/v3"

	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// ErrRota is returned for a line of the rota that cannot be read, or that never
// comes.
var ErrRota = errors.New("bad rota line")

// Rota is one line of the practice's rota or office hours, in the five fields
// of cron: minute, hour, day of the month, month, day of the week. As in every
// cron, a day that matches either of two restricted day fields will do.
//
// The cron library only reads the line and walks the calendar. It never sees a
// zone: given one, it skips days when the clocks go forward and fires twice when
// they go back. The wall time it finds becomes an instant through Zone.
type Rota struct{ schedule cron.SpecSchedule }

// ParseRota reads a line such as "0 8 * * 1-5". A zone in the line is refused:
// the rota is on the practice's clock.
func ParseRota(line string) (r Rota, err error) {
	defer func() {
		if p := recover(); p != nil { // the library does on some lines
			r, err = Rota{}, fmt.Errorf("reading %q: %w: %v", line, ErrRota, p)
		}
	}()
	if strings.Contains(line, "=") {
		return Rota{}, fmt.Errorf("reading %q: %w: a time zone has no place in it", line, ErrRota)
	}
	parsed, err := cron.NewParser(cron.Minute | cron.Hour | cron.Dom | cron.Month | cron.Dow).Parse(line)
	if err != nil {
		return Rota{}, fmt.Errorf("reading %q: %w: %w", line, ErrRota, err)
	}
	schedule, ok := parsed.(*cron.SpecSchedule)
	if !ok {
		return Rota{}, fmt.Errorf("reading %q: %w: not a line of clock times", line, ErrRota)
	}
	schedule.Location = time.UTC // the wall, not a place
	r = Rota{*schedule}
	if _, ok := r.NextWall(civil.Wall{}); !ok {
		return Rota{}, fmt.Errorf("reading %q: %w: no calendar has that day", line, ErrRota)
	}
	return r, nil
}

// NextWall returns the first wall time after w that the line names. It is false
// only for a Rota that ParseRota did not make.
func (r Rota) NextWall(w civil.Wall) (civil.Wall, bool) {
	if r.schedule.Location == nil {
		return civil.Wall{}, false
	}
	t := time.Unix(localOf(w), 0).UTC()
	// The library gives up after five years; from 2096 to 2104 no 29 February is.
	for range 3 {
		if next := r.schedule.Next(t); !next.IsZero() {
			return wallOf(next.Unix()), true
		}
		t = t.AddDate(5, 0, 0)
	}
	return civil.Wall{}, false
}

// Next returns the first instant after t at which the line comes on the clocks
// of a zone; once on each day it names, whatever the clocks do. It is false as
// NextWall is.
func (r Rota) Next(t time.Time, z Zone) (time.Time, bool) {
	w := z.Wall(t)
	// A wall time that was jumped over comes after the jump, by the offset
	// before it: within a day of one, look from where the old clock would be.
	if start, _ := t.In(z.location()).ZoneBounds(); !start.IsZero() && t.Sub(start) <= 25*time.Hour {
		_, before := start.Add(-time.Second).In(z.location()).Zone()
		if old := wallOf(t.Unix() + int64(before)); old.Before(w) {
			w = old
		}
	}
	var best time.Time
	for {
		next, ok := r.NextWall(w)
		if !ok {
			return best, !best.IsZero()
		}
		if at := z.Instant(next); at.After(t) && (best.IsZero() || at.Before(best)) {
			best = at
		}
		// What was jumped over comes late: a wall time after it may come before it.
		if !best.IsZero() && !next.Before(z.Wall(best)) {
			return best, true
		}
		w = next
	}
}

// OnDuty reports whether w lies in a shift that begins and ends as two lines say,
// its first minute included and its last not.
func OnDuty(from, to Rota, w civil.Wall) bool {
	begins, ok1 := from.NextWall(w)
	ends, ok2 := to.NextWall(w)
	return ok1 && ok2 && !begins.Before(ends)
}

// OffDuty names who a rota has off duty at a wall time: everybody it names,
// none of whose shifts is running. A line that cannot be read takes nobody off.
func OffDuty(shifts []practice.Shift, w civil.Wall) []string {
	var names []string
	on := map[string]bool{}
	for _, s := range shifts {
		if _, seen := on[s.Staff]; !seen {
			names = append(names, s.Staff)
		}
		from, err := ParseRota(s.From)
		to, err2 := ParseRota(s.To)
		on[s.Staff] = on[s.Staff] || err != nil || err2 != nil || OnDuty(from, to, w)
	}
	return slices.DeleteFunc(names, func(name string) bool { return on[name] })
}
