package flows

// Work handles one event after another in room of its own. It is Next in
// place, for whoever plays many nights of many patients: the patient given is
// the one changed, and what comes back counts until the next event. A zero
// Work is ready; it serves one caller at a time.
type Work struct{ t turn }

// Next says what happens next. The practice and the event are not changed; the
// patient's lists are the caller's to share with nobody (Patient.Twin).
func (w *Work) Next(pr *Practice, p *Patient, e *Event) *Out {
	t := &w.t
	t.start(pr, p, e)
	t.run()
	return &t.out
}

// Twin is a copy of a patient that shares nothing that an event changes.
func (p *Patient) Twin() Patient {
	q := *p
	q.own()
	return q
}
