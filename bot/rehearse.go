package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/rehearsal"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
)

// rehearse runs the whole program with an invented practice, on a page of this
// machine. It needs no token, no account and no network.
func rehearse(ctx context.Context, a app, args []string) error {
	f := a.flags("rehearse", "the whole program with an invented practice, on a page of this machine; no token, no network")
	listen := f.String("listen", "127.0.0.1:8484", "address of the page; loopback only")
	address := f.String("store", "memory:", "where to keep it: memory:, sqlite:PATH of a new file, or redis://...")
	if err := parse(f, args); err != nil {
		return err
	}
	host, _, err := net.SplitHostPort(*listen)
	if ip := net.ParseIP(host); err != nil || host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return fmt.Errorf("-listen %q is not an address of this machine alone, such as 127.0.0.1:8484", *listen)
	}
	st, err := program.OpenStore(ctx, setup.Secret(*address), true)
	if err != nil {
		return err
	}
	defer st.Close()
	fmt.Fprintln(a.out, "An invented practice lives through three weeks first; one moment.")
	s, err := stage.NewScene(ctx, st, nil)
	if err != nil {
		return err
	}
	defer s.Close()
	l, err := net.Listen("tcp", *listen)
	if err != nil {
		return fmt.Errorf("listening on %s: %w", *listen, err)
	}
	srv := &http.Server{Handler: rehearsal.New(s.Platform, course{s}), ReadHeaderTimeout: 10 * time.Second}
	fmt.Fprintf(a.out, "Open http://%s and choose who you are. Ctrl-C ends it.\n", l.Addr())
	done := make(chan error, 1)
	go func() { done <- srv.Serve(l) }()
	select {
	case <-ctx.Done():
	case <-s.Over():
		return errors.New("the program ended by itself")
	case err := <-done:
		return err
	}
	end, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	return srv.Shutdown(end)
}

// course offers the scene to the page.
type course struct{ *stage.Scene }

func (c course) Now() time.Time                  { return c.Hands.Now() }
func (c course) Chats() []rehearsal.Chat         { return c.People }
func (c course) Set(t time.Time)                 { c.Hands.Set(t) }
func (c course) Quiet(ctx context.Context) error { return c.Scene.Quiet(ctx) }
func (c course) Next() (time.Time, bool) {
	next, err := c.Scene.Next(context.Background())
	return next, err == nil && !next.IsZero()
}
