package program

import (
	"context"
	"crypto/sha256"
	"fmt"

	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
)

// BringPractice is one event per content of the file: the same file twice changes
// nothing. Its kind counts what settings bring about: the second plans the digest.
func BringPractice(ctx context.Context, r *scheduler.Runner, pr practice.Practice, raw []byte) error {
	now, err := r.Practice(ctx)
	if err != nil {
		return err
	}
	event := fmt.Sprintf("settings/2/%d/%x", now.Rev, sha256.Sum256(raw))
	return r.Handle(ctx, scheduler.PracticeRef(), event, flows.Settings{Practice: pr, Off: r.OffDuty(pr),
		Actor: flows.Actor{ID: practice.OwnerID, Role: practice.Owner}})
}
