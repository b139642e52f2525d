package telegram

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"io"
	"net/http"
)

// WebhookOptions of a receiver; all are required.
type WebhookOptions struct {
	Secret   Secret
	Handle   func(context.Context, Update) error
	SetAside func(ctx context.Context, raw json.RawMessage, class string) error
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
	return err
}
