package scheduler

import (
	"sync"

	"duskdawn/flows"
	"duskdawn/store"
)

// knownMost is how many patients are remembered: three kilobytes each, and more for a busy one.
const knownMost = 1000

// known remembers the patients that were written last, so that the next answer
// of a talk need not be read out of its stored form again. A patient counts at
// the very revision at which it is stored, whoever wrote that.
type known struct {
	mu sync.Mutex
	of map[store.Ref]at
}

// at is a patient at a revision.
type at struct {
	rev     int64
	patient *flows.Patient
}

// read gives a patient as stored.
func (k *known) read(ref store.Ref, a store.Aggregate) (flows.Patient, error) {
	k.mu.Lock()
	p, ok := k.of[ref]
	k.mu.Unlock()
	if ok && p.rev == a.Rev {
		return *p.patient, nil
	}
	return store.DecodePatient(a.Body)
}

// keep remembers a patient that was committed.
func (k *known) keep(ref store.Ref, rev int64, p *flows.Patient) {
	for i := int(p.Course.N); i < len(p.Course.Nights); i++ {
		p.Course.Nights[i] = flows.Entry{} // not stored, so not to be read
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.of == nil || len(k.of) >= knownMost {
		k.of = make(map[store.Ref]at, knownMost)
	}
	k.of[ref] = at{rev, p}
}
