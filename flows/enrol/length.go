package enrol

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
)

// Length is a length or a share as it was typed, for a blank that counts in steps
// or in micrometres. Where the start, the step or the range is changed, the count
// follows; what was typed stays.
type Length struct {
	At   int16    `cbor:"1,keyasint,omitempty"` // the blank's place in the table
	Unit FormUnit `cbor:"2,keyasint,omitempty"`
	N    int64    `cbor:"3,keyasint,omitempty"`
}

// What lengths are counted by.
const (
	startKey = "start"
	stepKey  = "step-mm"
	zeroKey  = "zero"
	maxKey   = "max-mm"
)

// measures reports whether lengths are counted by a blank.
func measures(key string) bool {
	return slices.Contains([]string{startKey, stepKey, zeroKey, maxKey, "retruded-mm"}, key)
}

// measured remembers how the blank at place i was typed.
func (f *Filled) measured(i int, d Datum) {
	kept := slices.DeleteFunc(slices.Clone(f.Lengths), func(l Length) bool { return int(l.At) == i })
	if d.Unit != UnitOwn {
		kept = append(kept, Length{At: int16(i), Unit: d.Unit, N: d.N})
	}
	slices.SortFunc(kept, func(a, b Length) int { return int(a.At) - int(b.At) })
	f.Lengths = kept
}

// waits reports whether the blank at place i, typed in a unit, cannot be counted
// yet: what it is counted by is still open.
func (f *Filled) waits(fields []FormField, i int, unit FormUnit) bool {
	needs := func(keys ...string) bool {
		return slices.ContainsFunc(keys, func(k string) bool { return !f.Has(FormIndex(fields, k)) })
	}
	switch kind := fields[i].Kind; {
	case unit == UnitPercent && needs(zeroKey, maxKey):
		return true
	case kind == FormSetting:
		return needs(stepKey, startKey)
	case kind == FormTravel:
		return needs(stepKey)
	}
	return false
}

// Waiting reports whether the blank at place i was typed, and only waits for what
// it is counted by.
func (f *Filled) Waiting(i int) bool {
	return !f.Has(i) && slices.ContainsFunc(f.Lengths, func(l Length) bool { return int(l.At) == i })
}

// Follow counts every length anew after one of its measures was filled in or
// changed, in the order of the table. It says which count moved; one that no longer
// fits is opened again and said to be wrong.
func (f *Filled) Follow(fields []FormField) []Problem {
	var out []Problem
	for n := range f.Lengths {
		l := f.Lengths[n]
		i := int(l.At)
		if i >= len(fields) || f.waits(fields, i, l.Unit) {
			continue
		}
		field, had := fields[i], f.Has(i)
		was, _ := field.Get(&f.Enrolment)
		before := f.Enrolment
		p := field.Set(&f.Enrolment, Datum{Unit: l.Unit, N: l.N})
		if p == nil && field.Key == startKey {
			p = f.startProblem(fields)
		}
		switch now, _ := field.Get(&f.Enrolment); {
		case p != nil:
			f.Enrolment = before
			f.Open(i)
			out = append(out, *p)
			return append(out, f.Follow(fields)...)
		case had && now != was:
			out = append(out, Problem{Field: field.Key, Key: "enrol.moved." + unitName(l.Unit), Soft: true,
				Args: []message.Arg{l.arg("said"), field.Arg("was", was), field.Arg("now", now)}})
		case !had:
			usual := slices.Contains(f.Usual, l.At)
			f.mark(i)
			if usual {
				f.Usual = append(f.Usual, l.At)
			}
		}
	}
	if i := FormIndex(fields, startKey); f.Has(i) {
		if p := f.startProblem(fields); p != nil {
			f.Open(i)
			out = append(out, *p)
		}
	}
	return out
}

func unitName(u FormUnit) string {
	if u == UnitPercent {
		return "share"
	}
	return "mm"
}

// arg is what was typed.
func (l Length) arg(name string) message.Arg {
	if l.Unit == UnitPercent {
		return message.ArgP(name, int(l.N))
	}
	return message.ArgUM(name, chart.Micrometres(l.N))
}

// startProblem is what is wrong with a start beside the range, where that is known.
func (f *Filled) startProblem(fields []FormField) *Problem {
	if !f.Has(FormIndex(fields, zeroKey)) || !f.Has(FormIndex(fields, maxKey)) {
		return nil
	}
	return startOutside(&f.Enrolment.Baseline)
}

// startOutside says that a start lies above the maximum, or behind the whole range.
func startOutside(b *chart.Baseline) *Problem {
	if b.Zero == chart.ZeroUnset || b.Max <= 0 {
		return nil
	}
	least, most := chart.PlaceOf(b, 0), chart.PlaceOf(b, 1000)
	switch {
	case b.Start > most:
		return &Problem{Field: startKey, Key: "enrol.bad.above", Args: []message.Arg{message.ArgUM("said", b.Start),
			message.ArgP("share", chart.ShareOf(b, b.Start)), message.ArgUM("most", most)}}
	case b.Start < least:
		return &Problem{Field: startKey, Key: "enrol.bad.outside", Args: []message.Arg{message.ArgUM("said", b.Start),
			message.ArgP("share", chart.ShareOf(b, b.Start)), message.ArgUM("least", least), message.ArgUM("most", most)}}
	}
	return nil
}

func without(places []int16, i int) []int16 {
	return slices.DeleteFunc(slices.Clone(places), func(n int16) bool { return int(n) == i })
}
