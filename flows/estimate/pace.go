package estimate

import (
	"duskdawn/flows/chart"
)

// Why a pace is not set among others.
const (
	NoEnded Withheld = "estimate.no.ended" // fewer than twenty ended courses of the practice
	NoWorn  Withheld = "estimate.no.worn"  // no worn night
)

// Ended is what is kept of one of the practice's ended courses.
type Ended struct {
	Moves, Hurt int               // steps, and those that hurt, as Sore counts them
	Forward     chart.Micrometres // from fitting day to its last setting
	Worn        int               // worn nights
}

// End sums a whole course up, for others to be set among.
func (r *Record) End() Ended {
	moves, hurt := r.moves()
	return Ended{Moves: moves, Hurt: hurt, Forward: chart.Micrometres(max(r.At, 0)) * r.Appliance.Step, Worn: r.worn()}
}

// worn counts the nights known worn.
func (r *Record) worn() (n int) {
	for i := range r.Nights {
		if worn, _ := r.Nights[i].Worn(r.least()); worn {
			n++
		}
	}
	return n
}

// Pace is the advance a worn night, and where it lies among the practice's own
// ended courses.
type Pace struct {
	No         Withheld
	Night      chart.Micrometres // a worn night, the mean
	Percentile int               // of ended courses that were slower, those as fast by half; tenths of a per cent
	Courses    int
}

// Pace compares as fractions, so that nothing is rounded.
func (r *Record) Pace() Pace {
	own := r.End()
	if own.Worn == 0 {
		return Pace{No: NoWorn}
	}
	slower, courses := 0, 0 // in halves
	for _, e := range r.Ended {
		if e.Worn == 0 {
			continue
		}
		courses++
		switch theirs, ours := int64(e.Forward)*int64(own.Worn), int64(own.Forward)*int64(e.Worn); {
		case theirs < ours:
			slower += 2
		case theirs == ours:
			slower++
		}
	}
	if courses < leastEnded {
		return Pace{No: NoEnded, Courses: courses}
	}
	return Pace{Night: (2*own.Forward + chart.Micrometres(own.Worn)) / chart.Micrometres(2*own.Worn),
		Percentile: percent(float64(slower) / float64(2*courses)), Courses: courses}
}
