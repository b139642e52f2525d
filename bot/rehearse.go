package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"strings"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/rehearsal"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
)

// rehearse runs the whole program with an invented practice, on a page of this
// machine. It needs no token, no account and no network.
func rehearse(ctx context.Context, a app, args []string) error {
	f := a.flags("rehearse", `the whole program with an invented practice, on a page of this machine;
no token, no network`)
	listen := f.String("listen", "127.0.0.1:8484", "address of the page; other than this machine's only with -anyone")
	address := f.String("store", "memory:", `where to keep it: memory:, sqlite:PATH, or redis://... of an empty server;
with sqlite:PATH it goes on where it was left, which PATH.room tells`)
	anyone := f.Bool("anyone", false, "let other machines open the page: whoever can reach it can play everybody")
	crowd := f.Int("patients", 0, "so many invented patients besides, up to 500, for a week at the desk")
	if err := parse(f, args); err != nil {
		return err
	}
	if *crowd < 0 || *crowd > 500 {
		return fmt.Errorf("-patients is 0 to 500, not %d", *crowd)
	}
	host, _, err := net.SplitHostPort(*listen)
	if ip := net.ParseIP(host); err != nil || !*anyone && host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return fmt.Errorf("-listen %q is not an address of this machine alone, such as 127.0.0.1:8484", *listen)
	}
	if *anyone {
		fmt.Fprintln(a.err, "rehearse: warning: whoever can reach this page can play everybody on it; there is no password")
	}
	house, err := stage.NewHouse(nil)
	if err != nil {
		return err
	}
	house.WithHost(atHost)
	house.Fill(*crowd)
	room, world, err := opened(ctx, a, house, *crowd, *address, rehearsal.Options{Anyone: *anyone})
	if err != nil {
		return err
	}
	defer func() {
		if err := room.Close(); err != nil {
			fmt.Fprintln(a.err, "rehearse:", err)
		}
	}()
	l, err := net.Listen("tcp", *listen)
	if err != nil {
		return fmt.Errorf("listening on %s: %w", *listen, err)
	}
	srv := &http.Server{Handler: room, ReadHeaderTimeout: 10 * time.Second,
		BaseContext: func(net.Listener) context.Context { return ctx }} // a page that waits for news ends with us
	fmt.Fprintf(a.out, "Open http://%s and begin with a scene. Ctrl-C ends it.\n", l.Addr())
	done := make(chan error, 1)
	go func() { done <- srv.Serve(l) }()
	select {
	case <-ctx.Done():
	case <-world.Over():
		if !room.Has(world) { // a scene took its place
			<-ctx.Done()
			break
		}
		return errors.New("the program ended by itself")
	case err := <-done:
		return err
	}
	end, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	return srv.Shutdown(end)
}

// opened is the page on what it begins with, or, where it is kept in a file, on
// what was left in it.
func opened(ctx context.Context, a app, house *stage.House, crowd int, address string, o rehearsal.Options) (*rehearsal.Room,
	*stage.World, error) {
	path, kept := strings.CutPrefix(address, "sqlite:")
	if kept {
		house.Keep(path)
		w, left, err := house.Resume(ctx)
		if err != nil {
			return nil, nil, err
		}
		if w != nil {
			fmt.Fprintln(a.out, "It goes on where it was left.")
			room, err := rehearsal.Resume(house, w, left, o)
			if err != nil {
				w.Close()
			}
			return room, w, err
		}
		if _, err := os.Stat(path); err == nil {
			return nil, nil, fmt.Errorf("%s is there and no rehearsal was left in it; name a file that is not there yet", path)
		}
	}
	wait := "one moment"
	if crowd > 50 {
		wait = "with so many patients that takes a minute or two"
	}
	fmt.Fprintf(a.out, "An invented practice lives through three weeks first; %s.\n", wait)
	if kept || address == "memory:" {
		w, err := house.Open(ctx, "")
		if err != nil {
			return nil, nil, err
		}
		world := w.(*stage.World) // what a House of the stage opens
		return rehearsal.New(house, world, o), world, nil
	}
	st, err := program.OpenStore(ctx, setup.Secret(address), true)
	if err != nil {
		return nil, nil, err
	}
	world, err := house.Opening(ctx, st)
	if err != nil {
		_ = st.Close()
		return nil, nil, err
	}
	return rehearsal.New(house, world, o), world, nil
}
