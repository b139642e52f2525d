package cohort

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Elsewhere is where a virtual patient lives who does not live in its player's
// own room: in a whole program, beside others. Times are wall times of the
// trial's one zone.
type Elsewhere interface {
	// Enrol takes the patient from the signed plan to the first evening.
	Enrol(chart.Enrolment)
	// Do carries what the patient says (flows.Said: what is meant, in its Reading;
	// "-" as its text where the words are free), or an order of the staff.
	Do(flows.Body)
	// Until lets time pass.
	Until(civil.Wall)
	// Patient is the patient as it stands.
	Patient() *flows.Patient
}

// away hands one event to where the patient lives, and watches what became of it.
func (pl *Player) away(b flows.Body) {
	pl.seen(&flows.Event{Body: b}, func() { pl.trial.Elsewhere.Do(b) })
}

// wait lets time pass where the patient lives. Who is asked once more after a
// correction answers.
func (pl *Player) wait(m minute) {
	if m > pl.now {
		pl.seen(&flows.Event{Body: flows.Due{Name: "time"}}, func() { pl.trial.Elsewhere.Until(m.wall()) })
		pl.now = m
	}
	if pl.p.Talk.CheckIn == flows.Recheck && pl.r.Float64() < pl.who.answers {
		pl.talk(4)
	}
}

func (pl *Player) seen(e *flows.Event, happen func()) {
	pl.watch.before(pl)
	happen()
	pl.p = *pl.trial.Elsewhere.Patient()
	pl.watch.after(pl, e, nil)
}
