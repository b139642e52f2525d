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
	now func() time.Time
}

// answers reports whether the platform is there at all. What is in doubt is said
// again a few times and no oftener, and these must not be spent on an outage. A
// refusal is an answer, too.
func (s sender) answers(ctx context.Context) bool {
	_, _, r := s.out.API.Me(ctx)
	return r.Outcome != telegram.Unknown && r.Outcome != telegram.NotWritten
}

// askFor is how long after it was ordered a repeat waits for the platform to say
// its name: that may fail where sending does not.
const askFor = 30 * time.Minute

func (s sender) Early(ctx context.Context, it store.Item, age time.Duration) bool {
	return s.out.Early(ctx, it, age)
}

func (s sender) Send(ctx context.Context, it store.Item, written func() error) scheduler.Result {
	began := time.Now()
	if it.Written && it.Lane != store.LaneUrgent && s.now().Sub(it.Ordered) < askFor && !s.answers(ctx) {
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
