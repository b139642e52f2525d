package enrol

import (
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
)

// Set puts a value where it is kept. A value in mm or % needs what stands
// before it in the table (the step, the range and its zero); without that it
// is refused, by name.
func (f FormField) Set(e *chart.Enrolment, d Datum) *Problem {
	if d.Unit != UnitOwn {
		n, p := f.resolve(e, d)
		if p != nil {
			return p
		}
		if d = (Datum{N: n}); f.Bounded() && (n < f.Min || n > f.Max) {
			return f.outside(n)
		}
	}
	switch at := f.at(e).(type) {
	case *string:
		*at = d.S
	case *bool:
		*at = d.N != 0
	case *int16:
		*at = int16(d.N)
	case *uint16:
		*at = uint16(d.N)
	case *chart.Steps:
		*at = chart.Steps(d.N)
	case *civil.Clock:
		*at = civil.Clock(d.N)
	case *civil.Date:
		*at = civil.Date(d.N)
	case *chart.Zero:
		*at = chart.Zero(d.N)
	case *chart.Micrometres:
		*at = chart.Micrometres(d.N)
	case *chart.Answer:
		if f.Kind == FormMM { // kept in tenths of a mm
			if d.N%100 != 0 {
				return f.bad("enrol.bad.tenthmm")
			}
			d.N /= 100
		}
		*at = chart.Num(int(d.N))
	case *[]string:
		*at = strings.Split(d.S, "|")
	case *[]chart.Score:
		*at, _ = parseScores(d.S)
	}
	return nil
}

// resolve turns a number in mm or % into what the blank counts. A setting is
// rounded down to a whole step: never further than what was asked for.
func (f FormField) resolve(e *chart.Enrolment, d Datum) (int64, *Problem) {
	b, step := &e.Baseline, int64(e.Appliance.Step)
	if d.Unit == UnitPercent {
		if b.Zero == chart.ZeroUnset {
			return 0, f.bad("enrol.bad.nozero")
		}
		if b.Max <= 0 {
			return 0, f.bad("enrol.bad.norange")
		}
		d.N = int64(chart.PlaceOf(b, int(d.N)))
	}
	if f.Kind == FormPlace {
		return d.N, nil
	}
	if step <= 0 {
		return 0, f.bad("enrol.bad.nostep")
	}
	if f.Kind == FormSetting {
		if d.N < int64(b.Start) {
			return 0, f.bad("enrol.bad.under", message.ArgUM("said", chart.Micrometres(d.N)), message.ArgUM("start", b.Start))
		}
		d.N -= int64(b.Start)
	}
	if d.N < 0 {
		return 0, f.outside(-1)
	}
	return d.N / step, nil
}

// ReadSetting reads a setting in steps from fitting day, or its position in mm
// or %, and holds it to least..most. key names the question in a refusal.
func ReadSetting(e *chart.Enrolment, key, text string, least, most chart.Steps) (chart.Steps, *Problem) {
	f := FormField{Key: key, Kind: FormSetting}
	d, p := f.Read(text)
	if p == nil && d.Unit != UnitOwn {
		d.N, p = f.resolve(e, d)
	}
	if p != nil {
		return 0, p
	}
	if d.N < int64(least) || d.N > int64(most) {
		f.Min, f.Max = int64(least), int64(most)
		return 0, f.outside(d.N)
	}
	return chart.Steps(d.N), nil
}

// Get returns what is kept in the blank, in what its kind counts; false where
// it is unknown. Texts and lists come from Text alone.
func (f FormField) Get(e *chart.Enrolment) (int64, bool) {
	switch at := f.at(e).(type) {
	case *bool:
		if *at {
			return chart.Yes, true
		}
		return chart.No, true
	case *int16:
		return int64(*at), true
	case *uint16:
		return int64(*at), true
	case *chart.Steps:
		return int64(*at), true
	case *civil.Clock:
		if *at == 0 && f.Min > 0 { // the end of a night: not moved means noon
			return int64(civil.Noon), true
		}
		return int64(*at), true
	case *civil.Date:
		return int64(*at), true
	case *chart.Zero:
		return int64(*at), *at != chart.ZeroUnset
	case *chart.Micrometres:
		return int64(*at), true
	case *chart.Answer:
		n := int64(at.N())
		if f.Kind == FormMM {
			n *= 100
		}
		return n, at.Known()
	}
	return 0, false
}

// Text gives what is kept as it would be typed; empty where it is unknown.
// Read and Set of it give the same again.
func (f FormField) Text(e *chart.Enrolment) string {
	switch at := f.at(e).(type) {
	case *string:
		return *at
	case *[]string:
		return strings.Join(*at, " | ")
	case *[]chart.Score:
		parts := make([]string, len(*at))
		for i, s := range *at {
			parts[i] = s.Name + " " + strconv.Itoa(int(s.Total))
		}
		return strings.Join(parts, ", ")
	}
	n, ok := f.Get(e)
	if !ok {
		return ""
	}
	return f.Typed(n)
}

// Typed writes a number of the blank's kind as it would be typed.
func (f FormField) Typed(n int64) string {
	switch f.Kind {
	case FormYes:
		if n != 0 {
			return "yes"
		}
		return "no"
	case FormChoice:
		if n >= 1 && int(n) <= len(f.Choices) {
			return f.Choices[n-1]
		}
		return ""
	case FormMarks:
		var on []string
		for i, c := range f.Choices {
			if n&(1<<i) != 0 {
				on = append(on, c)
			}
		}
		return strings.Join(on, " ")
	case FormMM, FormPlace:
		return decimal(n, 3)
	case FormTenths:
		return decimal(n, 1)
	case FormHours:
		return decimal((n*100+30)/60, 2)
	case FormClock:
		return civil.Clock(n).String()
	case FormDate:
		return civil.Date(n).String()
	}
	return strconv.FormatInt(n, 10)
}

// decimal writes n counted in the last of places decimals, without idle noughts.
func decimal(n int64, places int) string {
	s := strconv.FormatInt(n, 10)
	neg := strings.HasPrefix(s, "-")
	s = strings.TrimPrefix(s, "-")
	s = strings.Repeat("0", max(0, places+1-len(s))) + s
	s = s[:len(s)-places] + "." + s[len(s)-places:]
	s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	if neg {
		s = "-" + s
	}
	return s
}
