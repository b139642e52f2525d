package telegram

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"io"
	"net/http"
	"sync"
)

// WebhookOptions of a receiver; all but OnStuck are required.
type WebhookOptions struct {
	Secret   Secret
	Handle   func(context.Context, Update) error
	SetAside func(ctx context.Context, raw json.RawMessage, class string) error
	OnStuck  func(context.Context, Update) // as a poller's; may be nil

	failed *failures
}

// failures counts how often the platform brought an update that failed.
type failures struct {
	mu sync.Mutex
	of map[int64]int
}

// failedMost bounds how many are counted.
const failedMost = 10_000

// add counts one and reports whether it has failed often enough to be told of.
func (f *failures) add(id int64) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.of) >= failedMost {
		clear(f.of)
	}
	f.of[id]++
	return f.of[id] == stuckTries
}

func (f *failures) over(id int64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	delete(f.of, id)
}

// maxUpdate bounds an update's body.
const maxUpdate = 1 << 20

// Webhook receives updates by HTTP. It answers 200 only when the update is
// handled or set aside; on anything else the platform delivers again. Unlike
// polling it keeps no order: the platform itself sends a person's texts and
// taps side by side.
func Webhook(o WebhookOptions) (http.Handler, error) {
	if o.Secret == "" {
		return nil, fault("a webhook needs a secret: without one anybody could speak for a patient")
	}
	o.failed = &failures{of: map[int64]int{}}
	want := sha256.Sum256([]byte(o.Secret))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodPost {
			w.Header().Set("Allow", http.MethodPost)
			w.WriteHeader(http.StatusMethodNotAllowed)
			return
		}
		// Hashes have one length, so the time tells neither content nor length.
		got := sha256.Sum256([]byte(r.Header.Get("X-Telegram-Bot-Api-Secret-Token")))
		if subtle.ConstantTimeCompare(got[:], want[:]) != 1 {
			w.WriteHeader(http.StatusUnauthorized)
			return
		}
		body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxUpdate))
		if err != nil {
			w.WriteHeader(http.StatusRequestEntityTooLarge)
			return
		}
		if o.take(context.WithoutCancel(r.Context()), body) != nil {
			w.Header().Set("Retry-After", "5")
			w.WriteHeader(http.StatusInternalServerError)
		}
	}), nil
}

func (o WebhookOptions) take(ctx context.Context, body []byte) (err error) {
	defer func() {
		if recover() != nil {
			err = errPanicked
		}
	}()
	u, err := Decode(body)
	if err != nil {
		return o.SetAside(ctx, body, err.Error())
	}
	err = o.Handle(ctx, u)
	if class := unfit(err, 1); class != "" {
		return o.SetAside(ctx, body, class)
	}
	if err == nil {
		o.failed.over(u.ID)
	} else if o.failed.add(u.ID) && o.OnStuck != nil {
		tell(ctx, o.OnStuck, u)
	}
	return err
}
