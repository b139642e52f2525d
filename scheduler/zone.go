package scheduler

import (
	"cmp"
	_ "embed"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"duskdawn/flows/civil"

	"golang.org/x/text/unicode/norm"
)

//go:embed zones.txt
var zonesText string

// maxZones is how many zones a question offers at most.
const maxZones = 8

// maxZoneText is how many bytes of text may be a zone; the longest name has 32.
const maxZoneText = 80

// clockSlack is how far, in minutes, a clock that a person reads off may be
// from the time of their zone. Zones lie at least 15 minutes apart, most 30.
const clockSlack = 20

// zoneNames is what zones.txt says.
type zoneNames struct {
	places []string            // the zones of people, the most populous clocks first
	byText map[string][]string // by folded name, city or other word, in the order of the file
	words  []string            // its keys, in the order of the file
}

// Find returns the zones that a text names: by IANA name or its city, in any
// case, with or without accents and spaces, or by a city of zones.txt that has
// no zone of its own; where no name is the text, by names that begin with it
// (four letters or more). None is an unknown name; of several, at most 8, the
// person chooses. Of zones with the same clocks since 2020 only the first is named.
func (zs *Zones) Find(text string) []string {
	if len(text) > maxZoneText {
		return nil
	}
	names := namesOfZones()
	want := foldZone(text)
	found := names.byText[want]
	if city, _, ok := strings.Cut(text, ","); ok && len(found) == 0 { // "Madrid, Spain"
		want = foldZone(city)
		found = names.byText[want]
	}
	if len(found) == 0 && len(want) >= 4 {
		for _, word := range names.words {
			if strings.HasPrefix(word, want) {
				found = append(found, names.byText[word]...)
			}
		}
	}
	return zs.distinct(found, Zone.Basis)
}

// Fitting returns zones whose local time at now is c, 20 minutes about: one for
// every set of clocks kept over the next three years, at most 8. The closest
// come first; of those home, the practice's zone, then its continent, then the
// most populous.
func (zs *Zones) Fitting(now time.Time, c civil.Clock, home string) []string {
	type fit struct {
		name        string
		apart, rank int
	}
	region, _, _ := strings.Cut(home, "/")
	var fits []fit
	for _, name := range append([]string{home}, namesOfZones().places...) {
		z, err := zs.Load(name)
		if err != nil {
			continue
		}
		apart := (int(z.Wall(now).Clock) - int(c) + 1440) % 1440
		f := fit{name, min(apart, 1440-apart), 2}
		switch {
		case name == home:
			f.rank = 0
		case strings.HasPrefix(name, region+"/"):
			f.rank = 1
		}
		if f.apart <= clockSlack {
			fits = append(fits, f)
		}
	}
	slices.SortStableFunc(fits, func(a, b fit) int { return cmp.Or(a.apart-b.apart, a.rank-b.rank) })
	var names []string
	for _, f := range fits {
		names = append(names, f.name)
	}
	return zs.distinct(names, func(z Zone) string { return rules(z.location(), now, now.AddDate(3, 0, 0)) })
}

// distinct keeps the first zone of each key, and the zones that exist here.
func (zs *Zones) distinct(names []string, key func(Zone) string) []string {
	var out, keys []string
	for _, name := range names {
		z, err := zs.Load(name)
		if err != nil || len(out) == maxZones {
			continue
		}
		if k := key(z); !slices.Contains(keys, k) {
			out, keys = append(out, name), append(keys, k)
		}
	}
	return out
}

// namesOfZones are read once a process.
var namesOfZones = sync.OnceValue(readZoneNames)

func readZoneNames() zoneNames {
	n := zoneNames{byText: map[string][]string{}}
	for line := range strings.Lines(zonesText) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		name, others, _ := strings.Cut(line, " = ")
		words := []string{name}
		// Only Etc/GMT-2 means what people write as GMT+2, so it goes by its
		// full name alone.
		if region, rest, ok := strings.Cut(name, "/"); ok && region != "Etc" {
			n.places = append(n.places, name)
			words = append(words, rest)
			if _, city, ok := strings.Cut(rest, "/"); ok {
				words = append(words, city)
			}
		}
		if others != "" {
			words = append(words, strings.Split(others, ",")...)
		}
		for _, w := range words {
			w = foldZone(w)
			if n.byText[w] == nil {
				n.words = append(n.words, w)
			}
			n.byText[w] = append(n.byText[w], name)
		}
	}
	return n
}

// foldZone takes from a name what people leave out or write differently: case,
// accents, spaces and marks; it keeps the slash, and the sign of an offset.
func foldZone(s string) string {
	s = strings.NewReplacer("ß", "ss", "ø", "o", "Ø", "o", "ł", "l", "Ł", "l", "ı", "i", "æ", "ae").Replace(s)
	var b strings.Builder
	runes := []rune(norm.NFD.String(s))
	for i, r := range runes {
		sign := (r == '+' || r == '-') && i+1 < len(runes) && unicode.IsDigit(runes[i+1])
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '/' || sign {
			b.WriteRune(unicode.ToLower(r))
		}
	}
	return b.String()
}
