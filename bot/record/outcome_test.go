package record

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/outcome"
	"duskdawn/locales"
)

// course is a patient with four nights, a test before and one after.
func course(rule string) Record {
	p := flows.Patient{ID: "07K17", Baseline: chart.Baseline{Test: chart.SleepTest{AHI10: chart.Num(300), Rule: "A"}},
		Tests: []chart.SleepTest{{AHI10: chart.Num(90), Rule: rule, InPlace: true, By: "s1", Asleep: 450}}}
	var rows []Revision
	for i := range 4 {
		e := chart.Entry{}
		e.V[chart.Worn], e.V[chart.WornMinutes] = chart.Num(chart.WornPart), chart.Num(360)
		rows = append(rows, Revision{Night: civil.DateOf(2026, 11, 3) + civil.Date(i), Entry: e})
	}
	return New(p, rows, nil, time.Time{})
}

// Each figure is told with its rule and source, in every language; what cannot
// be given is a sentence. 30 to 9 by 80 % of the sleep is 56 % (formula from
// memory: Thorax 2013;68:91-6).
func TestOutcomesInWords(t *testing.T) {
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	for lang, says := range map[string][]string{
		"en": {"payer's rule for positive airway pressure (4 hours on 70 % of nights): 4 of 4", "Change of the AHI: -70 %", "alleviation, by a formula from memory: 56 %", "doi 10.5664/jcsm.6492", "dental rule: not given. There is no week", "Thorax 2013;68:91-6; the detail from memory"},
		"es": {"regla del pagador", "-70 %", "fórmula de memoria: 56 %", "doi 10.5664/jcsm.6492", "no se da. No hay ninguna semana"},
	} {
		var b bytes.Buffer
		if err := course("A").Outcomes(&b, words, lang); err != nil {
			t.Fatal(err)
		}
		text := strings.NewReplacer("\u00a0", " ", "\u202f", " ", "−", "-").Replace(b.String())
		for _, s := range says {
			if !strings.Contains(text, s) {
				t.Errorf("%s does not say %q:\n%s", lang, s, text)
			}
		}
		b.Reset()
		if err := course("B").Outcomes(&b, words, lang); err != nil {
			t.Fatal(err)
		}
		if text := b.String(); strings.Contains(text, "70 %:") || strings.Contains(text, "NaN") ||
			!strings.Contains(text, words.Line(lang, message.Say("undefined.rule"))) {
			t.Errorf("%s, two scoring rules:\n%s", lang, text)
		}
	}
	if n := words.Misses(); n != 0 {
		t.Errorf("%d texts were missing", n)
	}
	var b bytes.Buffer
	if err := New(flows.Patient{}, nil, nil, time.Time{}).Outcomes(&b, words, "en"); err != nil ||
		!strings.Contains(b.String(), "No night") {
		t.Errorf("no nights: %q, %v", b.String(), err)
	}
}

func TestOutcomesInJSON(t *testing.T) {
	var b bytes.Buffer
	if err := course("B").JSON(&b); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Outcomes []struct {
			ID, By, Refused string
			Values          map[string]any
		}
	}
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, o := range doc.Outcomes {
		seen[o.ID] = true
		if o.By == "" || (o.Refused == "") == (len(o.Values) == 0) {
			t.Errorf("%+v", o)
		}
		switch o.ID {
		case "adherence-payer":
			if o.Values["share"] != 100.0 || o.Values["met"] != true || o.Values["nights"] != 4.0 {
				t.Errorf("%+v", o)
			}
		case "response":
			if !strings.Contains(o.Refused, "not scored under one named rule") {
				t.Errorf("two scoring rules were compared: %+v", o)
			}
		}
	}
	if !seen["adherence-payer"] || !seen["response"] || !seen["alleviation"] || !seen["snoring-change"] {
		t.Errorf("%v", seen)
	}
}

// The share of nights by the payer's rule (4 hours, doi 10.15331/jdsm.7204) once
// more from the written table alone, in floating point, by other code.
func TestOutcomesAgainstTheTable(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 200 {
		var rows []Revision
		for i := range 1 + rng.IntN(40) {
			e := chart.Entry{}
			switch rng.IntN(4) {
			case 0:
				e.V[chart.Worn] = chart.Num(chart.WornAll)
			case 1:
				e.V[chart.Worn] = chart.Num(chart.WornNo)
			case 2:
				e.V[chart.Worn], e.V[chart.WornMinutes] = chart.Num(chart.WornPart), chart.Num(60*(1+rng.IntN(8)))
			}
			rows = append(rows, Revision{Night: civil.Date(20000 + i), Entry: e})
		}
		r := New(flows.Patient{ID: "07K17"}, rows, nil, time.Time{})
		var file bytes.Buffer
		if err := r.CSV(&file); err != nil {
			t.Fatal(err)
		}
		table, err := csv.NewReader(&file).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		worn, hours := slices.Index(table[0], "worn"), slices.Index(table[0], "hours")
		counted, answered := 0.0, 0.0
		for _, row := range table[1:] {
			h, err := strconv.ParseFloat(row[hours], 64)
			switch {
			case row[worn] == "":
				continue
			case row[worn] == "all" || row[worn] == "part" && err == nil && h >= 4:
				counted++
			}
			answered++
		}
		o := r.outcomes()[0]
		if answered == 0 {
			if o.No != outcome.NotAnswered {
				t.Errorf("no night was answered: %+v", o)
			}
			continue
		}
		for _, a := range o.Args {
			if a.Name == "share" && math.Abs(float64(a.N)-1000*counted/answered) > 0.5 {
				t.Errorf("%v of %v nights: %d tenths", counted, answered, a.N)
			}
			if a.Name == "met" && (a.S == "why.yes") != (counted >= 0.7*float64(len(rows))-1e-9) { // silence counts against it
				t.Errorf("%v of %v calendar nights: %s", counted, len(rows), a.S)
			}
		}
	}
}
