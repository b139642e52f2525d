package telegram

import (
	"context"
	"sync"
	"time"
)

// refusedFor is how long the platform must go on refusing the token before it
// counts as revoked: a front that fails answers 401 as well, and for minutes at
// most, while a program that ended on it would leave everybody alone. A start has
// no less patience: the same front stands before it.
const refusedFor = time.Minute

// askGap is how far apart two questions whether the token is known are at least.
const askGap = time.Second

// trust is what is known of the token. One 401 says nothing: it is checked with
// getMe, and whatever the platform executes clears it.
type trust struct {
	span time.Duration
	over chan struct{} // closed when the token is refused for good

	asking sync.Mutex // one question at a time

	mu    sync.Mutex
	since time.Time // when a 401 came and nothing was executed since; zero for trusted
	first time.Time // of the answers to getMe that refused it since
	asked time.Time
	gone  bool
}

// works notes that the platform executed something with the token.
func (t *trust) works() {
	t.mu.Lock()
	t.since, t.first = time.Time{}, time.Time{}
	t.mu.Unlock()
}

// doubted is how long the token has been in doubt at now; 0 for not at all.
func (t *trust) doubted(now time.Time) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.since.IsZero() {
		return 0
	}
	return max(now.Sub(t.since), 1)
}

// Doubted is how long the platform has refused the token and executed nothing;
// 0 where it takes it.
func (c *Client) Doubted() time.Duration { return c.trust.doubted(time.Now()) }

// Refused is closed when the platform refuses the token for good: only a new
// one helps.
func (c *Client) Refused() <-chan struct{} { return c.trust.over }

// judged is what a request came to, as far as the token goes: Revoked only
// where that is certain, and not executed otherwise.
func (c *Client) judged(ctx context.Context, r Result) Result {
	switch {
	case r.Outcome == Sent:
		if c.trust.doubted(time.Time{}) != 0 {
			c.trust.works()
		}
	case r.Outcome == Revoked && !c.revoked(ctx):
		r.Outcome = NotWritten
	}
	return r
}

// revoked asks the platform whether it knows the token. It must say no for
// as long as the options say, with nothing executed in between.
func (c *Client) revoked(ctx context.Context) bool {
	t, now := &c.trust, time.Now()
	t.mu.Lock()
	if t.since.IsZero() {
		t.since = now
	}
	gone, early := t.gone, now.Sub(t.asked) < min(askGap, t.span)
	t.mu.Unlock()
	if gone || early || !t.asking.TryLock() {
		return gone
	}
	defer t.asking.Unlock()
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), sendTimeout)
	defer cancel()
	r := c.exchange(ctx, "getMe", struct{}{}, new(struct{}))
	if r.Outcome == Sent {
		t.works()
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.asked = time.Now()
	switch {
	case r.Outcome != Revoked || t.since.IsZero():
		return false
	case t.first.IsZero():
		t.first = t.asked
	}
	if t.asked.Sub(t.first) < t.span {
		return false
	}
	t.gone = true
	close(t.over)
	return true
}
