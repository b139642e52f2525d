package enrol

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// sample is an invented, complete enrolment as pasted lines.
const sample = `
label: K-17
adult: yes
language: en
zone: Europe/Madrid
phone: +34 600 000 017
mechanism: two side screws
step-word: half turn
step-mm: 0,25
forward: tool towards the nose
travel: 5 mm
zero: habitual
max-mm: 8
start: 50 %
reporter: partner
drives: no
sleepiness: 4
headache: no
pauses: no
ceiling: 70 %
settle: 7
fitted: 2026-03-02
checklist: all
`

var office = practice.Practice{Lang: "en", Zone: "Europe/Madrid"}

func filled(t *testing.T, text string) (Filled, []Problem) {
	t.Helper()
	var f Filled
	ps := f.Fill(FormFields(), ReadPairs(text))
	ps = append(ps, f.Complete(FormFields(), &office, civil.DateOf(2026, time.March, 2))...)
	return f, append(ps, Check(f.Enrolment)...)
}

func TestSampleIsClean(t *testing.T) {
	f, ps := filled(t, sample)
	if len(ps) > 0 {
		t.Fatalf("problems: %+v", ps)
	}
	e := f.Enrolment
	if e.Appliance.Travel != 20 || e.Plan.Limits.Ceiling != 6 || e.Baseline.Start != 4000 || e.Plan.Limits.Interval != 3 ||
		e.Plan.Ends != e.Plan.Fitted+90 {
		t.Errorf("travel %d, ceiling %d, start %d, interval %d, ends %v", e.Appliance.Travel, e.Plan.Limits.Ceiling,
			e.Baseline.Start, e.Plan.Limits.Interval, e.Plan.Ends)
	}
}

// Every blank: a key as TOML has it, a source, its default within its bounds,
// and whatever is put in comes out as it would be typed.
func TestEveryField(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range FormFields() {
		if seen[f.Key] || f.Key == "" || !only(f.Key, "abcdefghijklmnopqrstuvwxyz-") {
			t.Errorf("key %q", f.Key)
		}
		seen[f.Key] = true
		if f.Basis == "" || f.at == nil {
			t.Errorf("%s: no source or no place", f.Key)
		}
		if f.Default != "" {
			if _, p := f.Read(f.Default); p != nil {
				t.Errorf("%s: default %q: %+v", f.Key, f.Default, p)
			}
		}
		if !f.Bounded() {
			continue
		}
		for _, n := range []int64{f.Min, f.Max} {
			if f.Kind == FormMM && n%100 != 0 {
				n = 100
			}
			var e chart.Enrolment
			d, p := f.Read(f.Typed(n))
			if p == nil {
				p = f.Set(&e, d)
			}
			if got, _ := f.Get(&e); p != nil || got != n || f.Text(&e) != f.Typed(n) {
				t.Errorf("%s: %d typed %q came back as %d, %q, %+v", f.Key, n, f.Typed(n), got, f.Text(&e), p)
			}
		}
		for _, n := range []int64{f.Min - 1, f.Max + 1} {
			if f.Kind == FormHours {
				n = f.Max + 60
			}
			if f.Kind == FormYes || f.Kind == FormClock && n > 1439 {
				continue // refused by its form
			}
			_, p := f.Read(f.Typed(n))
			if p == nil || p.Key != "enrol.bad.bounds" || len(p.Args) != 4 || p.Args[3].S != "enrol.why."+f.Key {
				t.Errorf("%s: %q beyond the bound: %+v", f.Key, f.Typed(n), p)
			}
		}
	}
	if len(seen) > 128 {
		t.Error("more blanks than Filled has bits")
	}
}

func TestStrictNumbers(t *testing.T) {
	good := map[string]chart.Micrometres{"0.25": 250, "0,25": 250, "0.25 mm": 250, "1": 1000, "0.125mm": 125,
		" 2 MM ": 2000}
	for s, want := range good {
		if n, ok := ParseMM(s); !ok || n != want {
			t.Errorf("%q: %d, %v", s, n, ok)
		}
	}
	for _, s := range []string{"", "1e3", "Inf", "NaN", "1_0", "0x1", "+1", "1-2", "3 or 4", "1.2.3", "1,2,3", ".5", "5.",
		"0.1255", "1/2", "10 cm", "٣", "100000"} {
		if n, ok := ParseMM(s); ok {
			t.Errorf("%q was read as %d", s, n)
		}
	}
}

func TestClock(t *testing.T) {
	for s, want := range map[string]civil.Clock{"21:30": 1290, "0:00": 0, "7:05": 425, "23:59": 1439} {
		if c, ok := ParseClock(s); !ok || c != want {
			t.Errorf("%q: %d, %v", s, c, ok)
		}
	}
	for _, s := range []string{"24:00", "7", "7:5", "7:60", "-1:00", "7.30", "07:30:00", "٧:٣٠"} {
		if c, ok := ParseClock(s); ok {
			t.Errorf("%q was read as %d", s, c)
		}
	}
}

// Instruments are kept by name and total alone; a total beyond its own scale is refused.
func TestScores(t *testing.T) {
	s, ok := parseScores("ESS 11/24, OTHER 3")
	if d := cmp.Diff([]chart.Score{{Name: "ESS", Total: 11}, {Name: "OTHER", Total: 3}}, s); !ok || d != "" {
		t.Error(d, ok)
	}
	for _, bad := range []string{"ESS 25/24", "ESS -1/24", "ESS", "12", "ESS 1.5", ""} {
		if _, ok := parseScores(bad); ok {
			t.Errorf("%q was taken", bad)
		}
	}
}

func TestPairs(t *testing.T) {
	got := ReadPairs("# blank\n\nStep_mm = \"0.25\"\nlabel: K: 17\nnonsense\n\u202ezone\u202c: Asia/Tokyo")
	want := []Pair{{3, "step-mm", "0.25"}, {4, "label", "K: 17"}, {5, "nonsense", ""}, {6, "zone", "Asia/Tokyo"}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// A bad paste names every bad line and loses none of the good ones.
func TestLineByLine(t *testing.T) {
	var f Filled
	ps := f.Fill(FormFields(), ReadPairs("label: K-1\nstep-mm: 2\ncolour: red\nlabel: K-2\nsettle: 3-4\nmax-mm: 9"))
	got := map[int]string{}
	for _, p := range ps {
		got[p.Line] = p.Field + " " + p.Key
	}
	want := map[int]string{2: "step-mm enrol.bad.bounds", 3: " enrol.bad.key", 4: "label enrol.bad.twice",
		5: "settle enrol.bad.whole"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if f.Enrolment.Label != "K-1" || f.Enrolment.Baseline.Max != 9000 || f.Enrolment.Appliance.Step != 0 {
		t.Errorf("%+v", f.Enrolment)
	}
}

// Nothing typed into any blank panics, breaks a bound, or reads otherwise the second time.
func TestFormProperty(t *testing.T) {
	fields := FormFields()
	rapid.Check(t, func(t *rapid.T) {
		var f Filled
		n := rapid.IntRange(1, 40).Draw(t, "lines")
		for range n {
			i := rapid.IntRange(0, len(fields)-1).Draw(t, "field")
			text := rapid.OneOf(rapid.String(), rapid.StringMatching(`-?[0-9]{1,5}([.,][0-9]{1,3})? ?(mm|%|h)?`),
				rapid.StringMatching(`[0-2]?[0-9]:[0-5][0-9]`),
				rapid.SampledFrom([]string{"yes", "no", "habitual", "retruded", "nobody", "all", "2026-03-02",
					"seats guide"})).Draw(t, "text")
			before := f
			if ps := f.Put(fields, i, text); len(ps) > 0 {
				if d := cmp.Diff(before, f); d != "" {
					t.Fatalf("%s refused %q and still changed: %s", fields[i].Key, text, d)
				}
				continue
			}
			field := fields[i]
			if !f.Has(i) {
				if !f.Waiting(i) {
					t.Fatalf("%s took %q and kept nothing", field.Key, text)
				}
				continue
			}
			if got, ok := field.Get(&f.Enrolment); ok && field.Bounded() && (got < field.Min || got > field.Max) {
				t.Fatalf("%s took %q as %d", field.Key, text, got)
			}
			typed := field.Text(&f.Enrolment)
			again := f
			if typed == "" {
				continue
			}
			if ps := again.Put(fields, i, typed); len(ps) > 0 || field.Text(&again.Enrolment) != typed {
				t.Fatalf("%s: %q typed again as %q: %+v", field.Key, text, typed, ps)
			}
		}
		f.Complete(fields, &office, 20000)
		Check(f.Enrolment)
		Summarise(f.Enrolment)
	})
}

func FuzzReadPairs(f *testing.F) {
	f.Add(sample)
	f.Add("step-mm: 0.25\nceiling: 70 %")
	f.Fuzz(func(t *testing.T, text string) {
		var got Filled
		for _, p := range got.Fill(FormFields(), ReadPairs(text)) {
			if p.Line < 1 || p.Line > strings.Count(text, "\n")+1 {
				t.Errorf("problem %+v on no line of %q", p, text)
			}
		}
		Check(got.Enrolment)
	})
}
