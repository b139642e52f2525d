package scheduler

import (
	"bytes"
	"sync"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/store"
)

// knownMost is how many patients are remembered: five kilobytes each, and more for a busy one.
const knownMost = 1000

// known remembers the patients that were written last, so that the next answer
// of a talk need not be read out of its stored form again. A patient counts for
// the very bytes that it was stored as. The revision would not do: where a Redis
// server fails and its last commits are lost, it is given again, to another body.
type known struct {
	mu sync.Mutex
	of map[store.Ref]stored
}

// stored is a patient and its stored form.
type stored struct {
	body    []byte
	patient *flows.Patient
}

// read gives a patient as stored, not to be written into.
func (k *known) read(ref store.Ref, a store.Aggregate) (*flows.Patient, error) {
	k.mu.Lock()
	p, ok := k.of[ref]
	k.mu.Unlock()
	if ok && bytes.Equal(p.body, a.Body) {
		return p.patient, nil
	}
	return decoded(a.Body)
}

// decoded is a frame of its own: a patient on the stack of each who handles an
// update makes that stack grow, which costs more than most of what is done there.
//
//go:noinline
func decoded(body []byte) (*flows.Patient, error) {
	p, err := store.DecodePatient(body)
	return &p, err
}

// keep remembers a patient that was committed.
func (k *known) keep(ref store.Ref, body []byte, p *flows.Patient) {
	for i := int(p.Course.N); i < len(p.Course.Nights); i++ {
		p.Course.Nights[i] = chart.Entry{} // not stored, so not to be read
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.of == nil || len(k.of) >= knownMost {
		k.of = make(map[store.Ref]stored, knownMost)
	}
	k.of[ref] = stored{body, p}
}
