package locales

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"duskdawn/flows/reading"
)

// The floor of what the phrase dictionaries must find and the ceiling of their
// false alarms, each over the whole corpus of a language, in per cent; and the
// floor for what is an emergency.
const (
	leastHits      = 97
	leastUrgent    = 98
	mostAlarms     = 3
	leastPerFamily = 80
)

// urgent are the features that make an emergency, alone or with another.
const urgent = reading.FBreath | reading.FChest | reading.FFaint | reading.FStroke | reading.FMouthFace | reading.FSwallow | reading.FMissing |
	reading.FSwallowed | reading.FCough | reading.FOpenLock | reading.FNotStopping | reading.FHeadache | reading.FSelfHarm | reading.FHarm | reading.FUrgent

func featureNamed(t *testing.T, names string) reading.Features {
	t.Helper()
	var f reading.Features
	for _, name := range strings.Split(names, "+") {
		i := slices.IndexFunc(featureNames, func(n struct {
			name  string
			flags reading.Features
		}) bool {
			return n.name == name
		})
		if i < 0 {
			t.Fatalf("no feature is called %q", name)
		}
		f |= featureNames[i].flags
	}
	return f
}

// The corpora are invented, by the writers of the dictionaries; what patients
// really write is more varied. The rates say how tight the net is here, not in
// the world: of the last 69 phrases of each file, written after the
// dictionaries and before they were mended, 80 % were heard in English and 84 %
// in Spanish.
func TestPhraseCorpora(t *testing.T) {
	w := load(t)
	for _, lang := range w.Languages() {
		buf, err := os.ReadFile("testdata/phrases/" + lang + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		type rate struct{ good, all int }
		families := map[string]*rate{}
		var hits, calls, alarms, denials rate
		for n, line := range strings.Split(string(buf), "\n") {
			name, text, ok := strings.Cut(line, ": ")
			if !ok || strings.HasPrefix(line, "#") {
				continue
			}
			r := w.Read(text)
			where := fmt.Sprintf("%s.txt:%d", lang, n+1)
			switch {
			case name == "-":
				alarms.all++
				if r.Features != 0 {
					alarms.good++
					t.Logf("%s: false alarm %s: %s", where, featuresIn(r.Features), text)
				}
			case strings.HasPrefix(name, "!"):
				denials.all++
				if want := featureNamed(t, name[1:]); r.Features != 0 || !r.Denied.Has(want) {
					t.Logf("%s: denial taken as flags %q, denied %q: %s", where, featuresIn(r.Features), featuresIn(r.Denied), text)
				} else {
					denials.good++
				}
			default:
				want := featureNamed(t, name)
				f := families[name]
				if f == nil {
					f = &rate{}
					families[name] = f
				}
				f.all++
				hits.all++
				emergency := want&urgent != 0
				if emergency {
					calls.all++
				}
				if r.Features.Has(want) {
					f.good++
					hits.good++
					if emergency {
						calls.good++
					}
				} else {
					t.Logf("%s: %s missed (%s): %s", where, name, says(r), text)
				}
			}
		}
		t.Logf("%s: %d of %d hits, of them %d of %d emergencies; %d false alarms in %d other texts; %d of %d denials",
			lang, hits.good, hits.all, calls.good, calls.all, alarms.good, alarms.all, denials.good, denials.all)
		switch {
		case hits.good*100 < hits.all*leastHits:
			t.Errorf("%s: hits under %d %%", lang, leastHits)
		case calls.good*100 < calls.all*leastUrgent:
			t.Errorf("%s: emergencies under %d %%", lang, leastUrgent)
		case alarms.good*100 > alarms.all*mostAlarms:
			t.Errorf("%s: false alarms over %d %%", lang, mostAlarms)
		case alarms.all < 150:
			t.Errorf("%s: only %d texts that are no flag", lang, alarms.all)
		case denials.good*100 < denials.all*90:
			t.Errorf("%s: denials under 90 %%", lang)
		}
		for _, name := range slices.Sorted(maps.Keys(families)) {
			if f := families[name]; f.all < 15 || f.good*100 < f.all*leastPerFamily {
				t.Errorf("%s: %s: %d of %d phrases are heard; 15 or more are wanted, and %d %% of them", lang, name, f.good, f.all, leastPerFamily)
			}
		}
		for _, n := range featureNames {
			if n.name != "swelling" && families[n.name] == nil {
				t.Errorf("%s: no phrases for %s", lang, n.name)
			}
		}
	}
}
