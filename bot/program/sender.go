package program

import (
	"context"
	"time"

	"duskdawn/bot/chat"
	"duskdawn/bot/telegram"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// sender turns the platform's outcomes into the scheduler's.
type sender struct {
	out *chat.Outbound
	v   *vitals
}

// answers reports whether the platform is there at all. What is in doubt is said
// again a few times and no oftener, and these must not be spent on an outage.
func (s sender) answers(ctx context.Context) bool {
	_, _, r := s.out.API.Me(ctx)
	return r.Outcome == telegram.Sent
}

func (s sender) Early(ctx context.Context, it store.Item, age time.Duration) bool {
	return s.out.Early(ctx, it, age)
}

func (s sender) Send(ctx context.Context, it store.Item, written func() error) scheduler.Result {
	began := time.Now()
	if it.Written && !s.answers(ctx) {
		return scheduler.Result{Outcome: store.Pending, Class: "the platform does not answer"}
	}
	sent := s.out.Send(ctx, it, written)
	s.v.metrics.Sent(it.Lane, sent.Outcome.String(), time.Since(began))
	r := scheduler.Result{Message: sent.MessageID, Wait: sent.RetryAfter, MovedTo: sent.MigrateTo, Text: sent.Text,
		Class: sent.Class}
	switch sent.Outcome {
	case telegram.Sent:
		r.Outcome = store.Sent
	case telegram.Rejected:
		r.Outcome = store.Rejected
	case telegram.Blocked:
		r.Outcome = store.Blocked
	case telegram.Unknown:
		r.Outcome = store.Doubt
	default: // Later, Moved, NotWritten, Conflict, Revoked: surely not sent
		r.Outcome = store.Pending
	}
	return r
}
