package scheduler

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"duskdawn/flows"
	"duskdawn/store"
)

// damaged tells staff, once a day, of a patient whose record cannot be read:
// nothing is asked or answered there, and everybody else goes on. Anything else
// than such an error, it leaves alone.
func (r *Runner) damaged(ctx context.Context, ref store.Ref, err error) error {
	if ref.Kind != store.Patient || !errors.Is(err, store.ErrCorrupt) {
		return err
	}
	pr, no := r.Practice(ctx)
	if no != nil {
		r.logError(ctx, "damaged", no)
		return err
	}
	event := fmt.Sprintf("damaged/%s/%s", r.Today(pr.Zone), ref.ID)
	if r.damage.is(ref, event) {
		return err
	}
	no = r.Handle(ctx, PracticeRef(), event, flows.Manage{Op: flows.ManageDamaged, Label: r.LabelOf(ctx, ref)})
	if no != nil {
		r.logError(ctx, "damaged", no)
	} else {
		r.damage.tell(ref, event)
	}
	return err
}

// damage keeps what staff were told last of each damaged record: its timers are
// tried again twice a minute, and to find its label takes its whole journal.
type damage struct {
	mu   sync.Mutex
	told map[store.Ref]string
}

func (d *damage) is(ref store.Ref, event string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.told[ref] == event
}

func (d *damage) tell(ref store.Ref, event string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.told == nil {
		d.told = map[store.Ref]string{}
	}
	d.told[ref] = event
}

// LabelOf is the practice's label of a patient whose record cannot be read, as
// the journal has it of the enrolment; the patient's id where that is lost as well.
func (r *Runner) LabelOf(ctx context.Context, ref store.Ref) string {
	for rec, err := range r.store.Journal(ctx, ref) {
		if err != nil {
			break
		}
		line, err := ReadRecord(rec)
		if e, ok := line.Event.Body.(flows.Enrol); err == nil && ok && e.Enrolment.Label != "" {
			return e.Enrolment.Label
		}
	}
	return ref.ID
}
