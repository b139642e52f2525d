package setup

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"duskdawn/flows"

	"github.com/robfig/cron/v3"
)

// Rota is one cron spec of the rota, on a clock on the practice's wall.
type Rota struct{ spec *cron.SpecSchedule }

// Schedule reads the five fields of cron. Zones and intervals are refused: the
// wall is the practice's, and @every drifts from the start of the program.
func Schedule(spec string) (r Rota, err error) {
	defer func() { // the parser is known to panic on some specs
		if recover() != nil {
			err = fmt.Errorf("reading a rota spec: %w", errSpec)
		}
	}()
	if strings.ContainsAny(spec, "=@") {
		return Rota{}, fmt.Errorf("reading a rota spec: %w", errSpec)
	}
	s, err := cron.ParseStandard(spec)
	if err != nil {
		return Rota{}, fmt.Errorf("reading a rota spec: %w", err)
	}
	ss, ok := s.(*cron.SpecSchedule)
	if !ok {
		return Rota{}, fmt.Errorf("reading a rota spec: %w", errSpec)
	}
	ss.Location = time.UTC // the wall clock read as if it were UTC: the zone is resolved elsewhere
	if ss.Next(time.Unix(0, 0).UTC()).IsZero() {
		return Rota{}, fmt.Errorf("reading a rota spec: %w", errSpec) // 31 February
	}
	return Rota{ss}, nil
}

var errSpec = errors.New("not five fields of cron that ever come")

// Next is the first wall time of the spec after w; false where there is none
// in the next years.
func (r Rota) Next(w flows.Wall) (flows.Wall, bool) {
	t := r.spec.Next(w.Date.Time().Add(time.Duration(w.Clock) * time.Minute))
	if t.IsZero() {
		return flows.Wall{}, false
	}
	return flows.Wall{Date: flows.Date(t.Unix() / 86400), Clock: flows.Clock(t.Unix() % 86400 / 60)}, true
}

// OffNow names who the rota has off duty at a wall time: everybody it names
// none of whose shifts would end before it begins again.
func OffNow(rota []flows.Shift, now flows.Wall) []string {
	on := map[string]bool{}
	var order []string
	for _, s := range rota {
		if _, seen := on[s.Staff]; !seen {
			order = append(order, s.Staff)
		}
		from, err := Schedule(s.From)
		to, err2 := Schedule(s.To)
		if err != nil || err2 != nil {
			on[s.Staff] = true // a shift that cannot be read takes nobody off duty
			continue
		}
		begins, ok := from.Next(now)
		ends, ok2 := to.Next(now)
		on[s.Staff] = on[s.Staff] || ok2 && (!ok || ends.Before(begins))
	}
	var off []string
	for _, name := range order {
		if !on[name] {
			off = append(off, name)
		}
	}
	return off
}
