package cohort

import (
	"maps"
	"slices"

	"duskdawn/flows/redflag"
)

// Tally sums courses up. It holds whole numbers alone, so that the order of
// adding, and the number of cores, change nothing.
type Tally struct {
	Patients    int
	Nights      int // patient-nights lived
	Worn        int // of those, worn for at least a part
	Ends        [NumEnds]int
	Reached     []int // patients whose snoring had settled on that night, from 1
	Forward     int
	BackOffs    int
	Rests       int
	Peaks       [11]int // patients by their worst morning's pain
	SoreAtTwo   int     // patients who hurt on most mornings of the week before two months
	Flags       [len(classes)]int
	Escalations int
	Needless    int            // steps from a setting that was settled in truth
	Quiet       int            // patients at the target whose true mean there is 3.5 or lower
	Ways        [numWays]int   // patients by how snoring responds: would settle, in part, hardly
	Stopped     [numWays]int   // of those, told that it cannot be said that steps help
	Cards       map[string]int // escalations by what they were first raised for
	Twins       int
	Breaches    [NumPromises]int
	First       string // the first breach, of the patient with the lowest number
	FirstOf     int
	Days        []Day
}

// Day sums the patients of one night.
type Day struct {
	Patients int
	Settled  int // snoring has settled by then
	Sore     int // mornings with pain of 1 or more
	Place    int // per mille of the protrusion, where the appliance stands
	Snoring  int // tenths
}

// Add takes one course.
func (t *Tally) Add(n int, o *Outcome) {
	t.Patients++
	t.Nights += o.Nights
	t.Worn += o.Worn
	t.Ends[o.End]++
	if o.Reached > 0 {
		for len(t.Reached) <= o.Reached {
			t.Reached = append(t.Reached, 0)
		}
		t.Reached[o.Reached]++
	}
	t.Forward += o.Forward
	t.BackOffs += o.BackOffs
	t.Rests += o.Rests
	t.Peaks[o.Peak]++
	if o.Sore >= 4 {
		t.SoreAtTwo++
	}
	for i := range t.Flags {
		t.Flags[i] += o.Flags[i]
	}
	t.Escalations += o.Escalations
	t.Needless += o.Needless
	if o.Quiet {
		t.Quiet++
	}
	if o.End != NotEnrolled {
		t.Ways[o.Way]++
		if o.Stopped {
			t.Stopped[o.Way]++
		}
	}
	t.Twins += o.Twins
	for i := range t.Breaches {
		t.Breaches[i] += o.Breaches[i]
	}
	t.first(n, o.First)
}

func (t *Tally) first(n int, what string) {
	if what != "" && (t.First == "" || n < t.FirstOf) {
		t.First, t.FirstOf = what, n
	}
}

// Merge takes another tally in.
func (t *Tally) Merge(u *Tally) {
	t.Patients += u.Patients
	t.Nights += u.Nights
	t.Worn += u.Worn
	t.Reached = sum(t.Reached, u.Reached)
	for i, n := range u.Ends {
		t.Ends[i] += n
	}
	for i, n := range u.Peaks {
		t.Peaks[i] += n
	}
	for i, n := range u.Flags {
		t.Flags[i] += n
	}
	for i, n := range u.Breaches {
		t.Breaches[i] += n
	}
	t.Forward += u.Forward
	t.BackOffs += u.BackOffs
	t.Rests += u.Rests
	t.SoreAtTwo += u.SoreAtTwo
	t.Escalations += u.Escalations
	t.Needless += u.Needless
	t.Quiet += u.Quiet
	for i := range t.Ways {
		t.Ways[i] += u.Ways[i]
		t.Stopped[i] += u.Stopped[i]
	}
	for _, reason := range slices.Sorted(maps.Keys(u.Cards)) {
		t.card(reason, u.Cards[reason])
	}
	t.Twins += u.Twins
	t.first(u.FirstOf, u.First)
	for i, d := range u.Days {
		t.day(i).add(d)
	}
}

// card counts escalations of a reason.
func (t *Tally) card(reason string, n int) {
	if t.Cards == nil {
		t.Cards = map[string]int{}
	}
	t.Cards[reason] += n
}

func sum(a, b []int) []int {
	for len(a) < len(b) {
		a = append(a, 0)
	}
	for i, n := range b {
		a[i] += n
	}
	return a
}

func (t *Tally) day(i int) *Day {
	for len(t.Days) <= i {
		t.Days = append(t.Days, Day{})
	}
	return &t.Days[i]
}

func (d *Day) add(e Day) {
	d.Patients += e.Patients
	d.Settled += e.Settled
	d.Sore += e.Sore
	d.Place += e.Place
	d.Snoring += e.Snoring
}

// Broken is how many promises were broken.
func (t *Tally) Broken() (n int) {
	for _, x := range t.Breaches {
		n += x
	}
	return n
}

// Share is the share of patients at an end; 0 where there are none.
func (t *Tally) Share(e End) float64 {
	if t.Patients == 0 {
		return 0
	}
	return float64(t.Ends[e]) / float64(t.Patients)
}

// Settled is how many patients' snoring had settled some night.
func (t *Tally) Settled() (n int) {
	for _, x := range t.Reached {
		n += x
	}
	return n
}

// Median is the median night on which snoring had settled, of those for whom it
// did; false where there are none.
func (t *Tally) Median() (night int, ok bool) {
	half, n := (t.Settled()+1)/2, 0
	for night, x := range t.Reached {
		if n += x; n >= half && half > 0 {
			return night, true
		}
	}
	return 0, false
}

// SoreMornings are all mornings with pain, of all patients.
func (t *Tally) SoreMornings() (n int) {
	for i := range t.Days {
		n += t.Days[i].Sore
	}
	return n
}

// PeakAtLeast is how many patients' worst morning was so sore or worse.
func (t *Tally) PeakAtLeast(pain int) (n int) {
	for _, x := range t.Peaks[max(pain, 0):] {
		n += x
	}
	return n
}

// FlagClasses are the classes of Tally.Flags, in its order.
func FlagClasses() []redflag.Class { return classes[:] }
