package program

import (
	"context"
	"time"

	"duskdawn/bot/outside"
	"duskdawn/store"
)

// caller turns what came of the outside call into the scheduler's words.
type caller struct{ call *outside.Call }

func (c caller) Call(ctx context.Context, class string, number int, at time.Time) (store.Outcome, string) {
	outcome, err := c.call.Make(ctx, outside.News{Kind: class, Number: number, At: at})
	why := ""
	if err != nil {
		why = err.Error()
	}
	switch outcome {
	case outside.Made:
		return store.Sent, why
	case outside.Doubt:
		return store.Doubt, why
	}
	return store.Pending, why
}
