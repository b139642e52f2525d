package memory_test

import (
	"context"
	"fmt"
	"time"

	"duskdawn/store"
	"duskdawn/store/memory"
)

// One commit: the body, a timer and a message are saved together, once. The
// same event again changes nothing.
func Example() {
	ctx, now := context.Background(), time.Date(2026, time.March, 2, 22, 0, 0, 0, time.UTC)
	s := memory.New()
	defer s.Close()
	ref := store.Ref{Kind: store.Patient, ID: "07EXAMPLE"}
	for range 2 {
		err := s.Update(ctx, ref, "update/1", now, func(a store.Aggregate) (store.Change, error) {
			return store.Change{
				Body: append(a.Body, "an evening"...),
				Set:  []store.Timer{{Name: "morning", At: now.Add(9 * time.Hour)}},
				Out:  []store.Item{{ID: "07advice.1", Queue: "5", Lane: store.LaneReply}},
			}, nil
		})
		fmt.Println("update:", err)
	}
	a, err := s.Get(ctx, ref)
	fmt.Printf("revision %d: %s %v\n", a.Rev, a.Body, err)
	out, _, err := s.Lease(ctx, now, 10, store.LaneAll, time.Minute)
	for _, item := range out {
		fmt.Println("to send:", item.ID, err)
	}
	next, err := s.Next(ctx)
	fmt.Println("next timer:", next.Sub(now), err)
	// Output:
	// update: <nil>
	// update: store: event seen before
	// revision 1: an evening <nil>
	// to send: 07advice.1 <nil>
	// next timer: 9h0m0s <nil>
}
