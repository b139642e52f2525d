package scheduler

import (
	"duskdawn/flows"
	"duskdawn/flows/practice"
)

// LastPractice is the practice as it was read last, however long ago: what is
// left to go by where the store does not answer. False where it never was read.
func (r *Runner) LastPractice() (practice.Practice, bool) {
	r.practice.Lock()
	defer r.practice.Unlock()
	return r.withRival(r.practice.value), !r.practice.at.IsZero()
}

// Would gives what an event would do to a patient, and commits nothing. It is for
// what has to be said although it cannot be stored.
func (r *Runner) Would(pr *practice.Practice, p flows.Patient, body flows.Body) []flows.Effect {
	zone := p.Zone
	if zone == "" {
		zone = pr.Zone
	}
	now := r.clock.Now()
	e := flows.Event{ID: "would", At: now, Wall: r.wall(zone, now), Office: r.wall(pr.Zone, now), Seed: seed(),
		Doubt: r.doubt.Load(), Body: body}
	if s, ok := body.(flows.Said); ok && !s.Sent.IsZero() {
		s.Wall = r.wall(zone, s.Sent)
		e.Body = s
	}
	return r.logic.Patient(pr, &p, &e)
}
