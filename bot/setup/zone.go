package setup

import (
	_ "embed"
	"slices"
	"strings"
	"time"
	_ "time/tzdata" // a slim host still has zones

	"duskdawn/flows"
)

// zones.txt are the zone names of the time zone database's zone.tab, which is
// in the public domain.
//
//go:embed zones.txt
var zoneNames string

// KnownZone tells whether a name is an IANA time zone.
func KnownZone(name string) bool {
	if name == "" || name == "Local" || strings.HasPrefix(name, "/") || strings.Contains(name, "..") {
		return false
	}
	_, err := time.LoadLocation(name)
	return err == nil
}

// MostZones is how many zones are offered at once.
const MostZones = 8

// Zones finds the zones that a text may mean, the likeliest first and at most
// MostZones: an IANA name in any case, the city in it ("mexico city"), or what
// a clock there shows at the instant at ("21:40", within 20 minutes). home is
// the practice's zone, which comes first where it fits.
func Zones(text, home string, at time.Time) []string {
	text = strings.TrimSpace(text)
	if text == "" || len(text) > 60 {
		return nil
	}
	if clock, ok := flows.ParseClock(text); ok {
		return byClock(clock, home, at)
	}
	want := fold(text)
	var exact, begins []string
	for _, name := range append([]string{home, "UTC"}, strings.Fields(zoneNames)...) {
		city := name[strings.LastIndexByte(name, '/')+1:]
		switch {
		case fold(name) == want:
			return []string{name}
		case fold(city) == want:
			exact = append(exact, name)
		case len(want) >= 4 && strings.HasPrefix(fold(city), want):
			begins = append(begins, name)
		}
	}
	if len(exact) == 0 {
		exact = begins
	}
	if len(exact) == 0 && strings.Contains(text, "/") && KnownZone(text) {
		return []string{text} // an older name that the table no longer lists
	}
	return first(exact)
}

func byClock(clock flows.Clock, home string, at time.Time) []string {
	var near, far []string
	region, _, _ := strings.Cut(home, "/")
	for _, name := range append([]string{home}, strings.Fields(zoneNames)...) {
		loc, err := time.LoadLocation(name)
		if err != nil || name == "" {
			continue
		}
		there := at.In(loc)
		gap := (there.Hour()*60 + there.Minute() - int(clock) + 1440) % 1440
		if gap > 20 && gap < 1420 {
			continue
		}
		if strings.HasPrefix(name, region+"/") {
			near = append(near, name)
		} else {
			far = append(far, name)
		}
	}
	return first(append(near, far...))
}

func first(names []string) []string {
	var out []string
	for _, n := range names {
		if !slices.Contains(out, n) && len(out) < MostZones {
			out = append(out, n)
		}
	}
	return out
}

// fold compares names without case, and with _, - and space as one.
func fold(s string) string {
	return strings.ToLower(strings.NewReplacer("_", " ", "-", " ").Replace(s))
}
