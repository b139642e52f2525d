package record

import (
	"time"

	"duskdawn/flows"
)

// Version of the written forms. It rises when a column changes its meaning.
const Version = 1

// Record is a patient as the papers show them.
type Record struct {
	Patient flows.Patient
	Nights  []Night // one per calendar night from the first to the last known, oldest first
	Made    time.Time
}

// Night is the newest revision of what is known of one night.
type Night struct {
	Entry     flows.Entry
	Source    string
	Revisions int
	At        time.Time // of the newest revision; zero for a night nobody said anything of
}

// Revision is one row of the diary as committed.
type Revision struct {
	Night  flows.Date
	Source string
	At     time.Time
	Entry  flows.Entry
}

// New makes the record from a patient and the diary's revisions in the order
// they were committed. A night between two known ones that has no row is there
// with everything unknown: silence is shown, not left out.
func New(p flows.Patient, revisions []Revision, made time.Time) Record {
	r := Record{Patient: p, Made: made}
	if len(revisions) == 0 {
		return r
	}
	first, last := revisions[0].Night, revisions[0].Night
	for _, v := range revisions {
		first, last = min(first, v.Night), max(last, v.Night)
	}
	r.Nights = make([]Night, last-first+1)
	for i := range r.Nights {
		r.Nights[i].Entry.Night = first + flows.Date(i)
	}
	for _, v := range revisions {
		n := &r.Nights[v.Night-first]
		n.Entry, n.Source, n.At = v.Entry, v.Source, v.At
		n.Entry.Night = v.Night
		n.Revisions++
	}
	return r
}
