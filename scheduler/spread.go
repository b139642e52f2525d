package scheduler

import (
	"context"
	"fmt"
	"hash/fnv"
	"math/bits"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/store"
)

// Most patients leave their check-ins at the usual hours, so those of a large
// practice would all fall due in one minute, and their answers in the next ten.
// They are spread: each patient's come a few whole minutes after the hour, the
// same for the evening and the morning of every day, by the patient's id alone.
const (
	// spreadFrom is up to how many patients nothing is spread: the platform takes
	// so many messages in ten seconds.
	spreadFrom = 300
	// spreadRate is how many check-ins of one hour fall due in a minute, about: 4
	// a second, since each brings six answers, and the platform takes 29.
	spreadRate = 240
	// spreadStep keeps a patient's place while a few join or leave.
	spreadStep = 5
	// SpreadMost is the widest window, in minutes: what the check-ins give way at
	// the most (flows), well before the reminder.
	SpreadMost = chart.CheckinSlack
)

// Window is over how many minutes the check-ins of so many patients are spread.
func Window(patients int) int {
	if patients <= spreadFrom {
		return 0
	}
	steps := (patients + spreadRate*spreadStep - 1) / (spreadRate * spreadStep)
	return min(steps*spreadStep, SpreadMost)
}

// Place is a patient's minute in a window: from 0, and always the same one.
func Place(ref store.Ref, window int) int {
	if window <= 0 {
		return 0
	}
	h := fnv.New64a()
	_, _ = h.Write([]byte(ref.ID)) // never fails
	minute, _ := bits.Mul64(h.Sum64(), uint64(window))
	return int(minute)
}

// spread gives the wall time at which a timer that may come later comes.
func (r *Runner) spread(ref store.Ref, w civil.Wall, slack int) civil.Wall {
	return w.Add(Place(ref, min(Window(int(r.enrolled.Load())), slack)))
}

// census counts the patients on their way, by whose number the window is chosen.
func (r *Runner) census(ctx context.Context) error {
	n := 0
	for s, err := range r.store.List(ctx, store.Query{}) {
		if err != nil {
			return fmt.Errorf("counting patients: %w", err)
		}
		if s.State != chart.Ended.String() {
			n++
		}
	}
	r.enrolled.Store(int64(n))
	return nil
}
