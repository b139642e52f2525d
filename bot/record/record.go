package record

import (
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/replay"
)

// Version of the written forms. It rises when a column changes its meaning: in
// 2 the patient goes by the pseudonym, and came_late says since when and what was before.
const Version = 2

// Record is a patient as the papers show them.
type Record struct {
	Patient flows.Patient
	Nights  []Night // one per calendar night from the first to the last known, oldest first
	Made    time.Time
}

// Night is the newest revision of what is known of one night.
type Night struct {
	Entry     chart.Entry
	Source    string
	Revisions int
	Kept      replay.Kept // what was done that night, and what of it came late
	At        time.Time   // of the newest revision; zero for a night nobody said anything of
}

// Revision is one row of the diary as committed.
type Revision struct {
	Night  civil.Date
	Source string
	At     time.Time
	Entry  chart.Entry
}

// New makes the record from a patient, the diary's revisions in the order they
// were committed, and what was kept of the nights besides. A night between two known ones that has no row is there
// with everything unknown: silence is shown, not left out.
func New(p flows.Patient, revisions []Revision, kept map[civil.Date]*replay.Kept, made time.Time) Record {
	r := Record{Patient: p, Made: made}
	if len(revisions) == 0 {
		return r
	}
	first, last := revisions[0].Night, revisions[0].Night
	for _, v := range revisions {
		first, last = min(first, v.Night), max(last, v.Night)
	}
	if began := p.Course.Began; began != 0 {
		first = min(first, began) // a first evening that nobody was asked on is a night too
	}
	r.Nights = make([]Night, last-first+1)
	for i := range r.Nights {
		night := first + civil.Date(i)
		r.Nights[i].Entry.Night = night
		if k := kept[night]; k != nil {
			r.Nights[i].Kept = *k
		}
	}
	for _, v := range revisions {
		n := &r.Nights[v.Night-first]
		n.Entry, n.Source, n.At = v.Entry, v.Source, v.At
		n.Entry.Night = v.Night
		n.Revisions++
	}
	return r
}
