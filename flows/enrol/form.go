package enrol

import (
	"math"

	"duskdawn/flows/chart"
	"duskdawn/flows/evidence"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// FormKind says how a blank of the enrolment form is read and kept.
type FormKind uint8

// The kinds of blanks. Numbers in brackets are what Datum.N counts.
const (
	FormText    FormKind = iota // free text, at most Max runes
	FormLang                    // a language tag
	FormZone                    // an IANA zone name
	FormPhone                   // a telephone number
	FormYes                     // yes or no [1, 0]
	FormChoice                  // one of Choices [its place, from 1]
	FormMarks                   // any of Choices, or all [a bit each]
	FormMM                      // millimetres [micrometres]
	FormWhole                   // a whole number
	FormTenths                  // a number with at most one decimal [tenths]
	FormHours                   // hours [minutes]
	FormClock                   // a time of day [minutes after midnight]
	FormDate                    // a calendar day [days]
	FormPlace                   // a jaw position in mm from the habitual bite, or in % [micrometres]
	FormSetting                 // a setting in steps from fitting day; or its position in mm or % [steps]
	FormTravel                  // a length in steps, or in mm [steps]
	FormList                    // short texts with | between them
	FormScores                  // "NAME 12, NAME 3": instruments and totals
)

// FormPart groups the blanks for the guided form.
type FormPart uint8

// The parts. The last is asked first, the others in their order.
const (
	PartPatient FormPart = iota
	PartAppliance
	PartRange
	PartBaseline
	PartLimits
	PartPlan
	PartFirst // what decides whether the form is filled in at all, and from what
	NumParts
)

// FormField is one blank: the same for the guided form, for pasted
// `key: value` lines and for the TOML file.
type FormField struct {
	Key     string // as typed, and as in TOML
	Part    FormPart
	Kind    FormKind
	Need    bool // must be given, or taken as its default
	Min     int64
	Max     int64          // hard bounds in what the kind counts; both 0 for none
	Default string         // as typed; empty for none, or for one that DefaultFor works out
	Choices []string       // of FormChoice and FormMarks
	Basis   evidence.Basis // where bound and default come from

	at func(*chart.Enrolment) any // a pointer to where it is kept
}

// Datum is a value as read, before it is put in its place.
type Datum struct {
	Unit FormUnit
	N    int64
	S    string
}

// FormUnit is the unit a number was typed in, where a kind takes several.
type FormUnit uint8

// The units.
const (
	UnitOwn     FormUnit = iota // what the kind counts
	UnitMM                      // N is micrometres
	UnitPercent                 // N is tenths of a per cent
)

// Problem is one thing wrong with an enrolment. A soft one may be signed all
// the same, once it was seen; the others refuse.
type Problem struct {
	Field string // key of the blank
	Key   string // of the catalogue
	Args  []message.Arg
	Soft  bool
	Line  int // of the pasted text or the file, from 1; 0 where it does not come from one
}

// Say makes the problem a paragraph: the blank's name first.
func (p Problem) Say() message.Line {
	args := make([]message.Arg, 0, len(p.Args)+2)
	if p.Field != "" {
		args = append(args, message.ArgK("field", "enrol.f."+p.Field))
	}
	return message.Say(p.Key, append(args, p.Args...)...)
}

// Pair is one line of a form as typed. Key is canonical where the words were
// known; Line counts from 1.
type Pair struct {
	Line  int16  `cbor:"1,keyasint,omitempty"`
	Key   string `cbor:"2,keyasint,omitempty"`
	Value string `cbor:"3,keyasint,omitempty"`
}

// Filled is an enrolment with what was filled in: unlike a zero value, a blank
// left open is told from a blank filled with nought.
type Filled struct {
	Enrolment chart.Enrolment `cbor:"1,keyasint,omitempty"`
	Given     uint64          `cbor:"2,keyasint,omitempty"` // a bit per place in FormFields
	More      uint64          `cbor:"3,keyasint,omitempty"` // from the 65th on
	Lengths   []Length        `cbor:"4,keyasint,omitempty"` // what was typed in mm or %
	Usual     []int16         `cbor:"5,keyasint,omitempty"` // places of the blanks that were filled with their default, unasked
}

// Whole is an enrolment with every blank filled in: one that was signed.
func Whole(e chart.Enrolment) Filled {
	return Filled{Enrolment: e, Given: math.MaxUint64, More: math.MaxUint64}
}

// Has reports whether the blank at place i was filled in.
func (f *Filled) Has(i int) bool {
	if i < 64 {
		return f.Given&(1<<i) != 0
	}
	return f.More&(1<<(i-64)) != 0
}

// Open empties the blank at place i, so that it is asked again; what is kept
// there stays until it is filled anew.
func (f *Filled) Open(i int) {
	f.measured(i, Datum{})
	if i < 64 {
		f.Given &^= 1 << i
	} else {
		f.More &^= 1 << (i - 64)
	}
}

// Skip leaves the blank at place i as it is and counts it as answered.
func (f *Filled) Skip(i int) { f.mark(i) }

func (f *Filled) mark(i int) {
	f.Usual = without(f.Usual, i)
	if i < 64 {
		f.Given |= 1 << i
	} else {
		f.More |= 1 << (i - 64)
	}
}

// Put reads text into the blank at place i. A refusal changes nothing. A length
// or share whose measure is not known yet is kept as typed: the blank stays open
// and is filled once it is (Follow).
func (f *Filled) Put(fields []FormField, i int, text string) []Problem {
	d, p := fields[i].Read(text)
	if p != nil {
		return []Problem{*p}
	}
	if d.Unit != UnitOwn && f.waits(fields, i, d.Unit) {
		f.Open(i)
		f.measured(i, d)
		return nil
	}
	was := f.Enrolment
	if p = fields[i].Set(&f.Enrolment, d); p == nil && fields[i].Key == startKey {
		p = f.startProblem(fields)
	}
	if p != nil {
		f.Enrolment = was
		return []Problem{*p}
	}
	f.measured(i, d)
	f.mark(i)
	return nil
}

// Fill takes all pairs, in the order of the table, whatever order they were
// typed in, since a setting in mm needs the step first. Unknown and repeated
// keys are problems; what could be read is kept, and what follows from it said.
func (f *Filled) Fill(fields []FormField, pairs []Pair) []Problem {
	var out []Problem
	at := make([]int, len(fields)) // the pair of each blank, from 1
	for n, p := range pairs {
		i := FormIndex(fields, p.Key)
		switch {
		case i < 0:
			out = append(out, Problem{Key: "enrol.bad.key", Args: []message.Arg{message.ArgS("key", reading.Clip(p.Key, 40))},
				Line: int(p.Line)})
		case at[i] != 0:
			out = append(out, Problem{Field: fields[i].Key, Key: "enrol.bad.twice", Line: int(p.Line)})
		default:
			at[i] = n + 1
		}
	}
	for i := range fields {
		if at[i] == 0 {
			continue
		}
		p := pairs[at[i]-1]
		if p.Value == "" && !fields[i].Need {
			continue // a line of the blank left open
		}
		for _, q := range f.Put(fields, i, p.Value) {
			q.Line = int(p.Line)
			out = append(out, q)
		}
	}
	for _, q := range f.Follow(fields) {
		for n, p := range pairs { // of its own line, else of the last that can have moved it
			if i := FormIndex(fields, p.Key); i >= 0 && at[i] == n+1 && (q.Line == 0 || p.Key == q.Field || measures(p.Key)) {
				q.Line = int(p.Line)
				if p.Key == q.Field {
					break
				}
			}
		}
		out = append(out, q)
	}
	return out
}
