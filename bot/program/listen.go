package program

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"time"

	"duskdawn/bot/health"
	"duskdawn/bot/logs"
	"duskdawn/bot/telegram"
)

// Listen serves health and metrics, and the webhook where there is one. An
// address without a host is this machine's own: whoever wants more says so.
func (p *Program) Listen(address, secret string) (stop func(), err error) {
	if address == "" {
		return func() {}, nil
	}
	of, err := p.Handler(secret)
	if err != nil {
		return nil, err
	}
	l, err := net.Listen("tcp", own(address))
	if err != nil {
		return nil, fmt.Errorf("listening on %s: %w", address, err)
	}
	srv := &http.Server{Handler: of, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute,
		IdleTimeout: 2 * time.Minute,
		ErrorLog:    logs.Library(p.log, "net/http")}
	go srv.Serve(l)
	return func() {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		srv.Shutdown(ctx)
	}, nil
}

// Handler answers /livez, /readyz and /metrics, and /webhook where there is a
// secret to know the platform by.
func (p *Program) Handler(secret string) (http.Handler, error) {
	mux := http.NewServeMux()
	mux.Handle("GET /livez", health.Handler(p.living()))
	mux.Handle("GET /readyz", health.Handler(p.well()))
	mux.Handle("GET /metrics", p.metrics.Handler())
	if secret != "" {
		hook, err := telegram.Webhook(telegram.WebhookOptions{Secret: telegram.Secret(secret), Handle: p.Take,
			SetAside: p.setAside, OnStuck: p.past})
		if err != nil {
			return nil, err
		}
		mux.Handle("/webhook", hook)
	}
	return mux, nil
}

// own gives an address without a host that of this machine alone.
func own(address string) string {
	if host, port, err := net.SplitHostPort(address); err == nil && host == "" {
		return net.JoinHostPort("127.0.0.1", port)
	}
	return address
}
