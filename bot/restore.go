package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"strings"

	"duskdawn/bot/program"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// restore puts a copy back, or declares that a server's data were. Either
// begins a new epoch: nothing goes out before the owner's release.
func restore(ctx context.Context, a app, args []string) error {
	f := a.flags("restore", "put a copy of the SQLite store back while nothing serves from it; or, with -declare, say that the data of a Redis server were put back")
	from := f.String("from", "", "path of the copy; it is only read")
	declare := f.Bool("declare", false, "the server's data were put back by its own means; the program must not run")
	if err := parse(f, args); err != nil {
		return err
	}
	if (*from == "") == !*declare {
		fmt.Fprintln(a.err, "restore: either -from or -declare is needed")
		return errUsage
	}
	_, set, err := a.wordsAndSettings()
	if err != nil {
		return err
	}
	kind, path, _ := strings.Cut(set.Store.Reveal(), ":")
	switch {
	case *declare && kind == "sqlite":
		return errors.New("a SQLite store is put back with -from, which checks the copy and keeps the present file")
	case !*declare && kind != "sqlite":
		return errors.New("only a SQLite store is put back here; put a Redis server's data back as its manual says, then run restore -declare")
	case *declare:
		return declareRestored(ctx, a)
	}
	done, aside, err := putBack(ctx, path, *from, scheduler.RealClock{})
	if errors.Is(err, store.ErrInUse) {
		return fmt.Errorf("%w; nothing was changed", err)
	}
	if err != nil {
		return fmt.Errorf("nothing was put back: %w", err)
	}
	fmt.Fprintf(a.out, "%s was checked and stands in the store's place.\n", *from)
	if aside != "" {
		fmt.Fprintf(a.out, "The file that was there is kept: %s. Keep it until all is well; it holds health data.\n", aside)
	}
	sayRestored(a.out, done)
	return nil
}

// putBack puts a copy in the place of a store's file and begins the new epoch in it.
func putBack(ctx context.Context, path, from string, clock scheduler.Clock) (done scheduler.Restored, aside string,
	err error) {
	aside, err = sqlite.PutBack(ctx, path, from, func(st *sqlite.Store) error {
		p, err := program.Build(ctx, program.Parts{Store: st, Clock: clock})
		if err != nil {
			return err
		}
		done, err = p.Runner.Restore(ctx)
		return err
	})
	return done, aside, err
}

// declareRestored begins the new epoch in a store whose server was restored. It
// takes the leases of whoever polls and of whoever is called, so that nothing serves meanwhile.
func declareRestored(ctx context.Context, a app) error {
	t, err := a.openAs(ctx, true)
	if err != nil {
		return err
	}
	defer t.Store.Close()
	who := rand.Text()
	for _, name := range []string{program.PollLease, program.CalledLease} {
		ok, err := t.Store.Lead(ctx, name, who, program.LeaseFor)
		if err != nil {
			return err
		}
		if !ok {
			return errors.New("a program serves from this store, or did a moment ago: stop all of them first; nothing was changed")
		}
		defer t.Store.Lead(context.WithoutCancel(ctx), name, who, 0)
	}
	done, err := t.Runner.Restore(ctx)
	if err != nil {
		return fmt.Errorf("interrupted; run it again: %w", err)
	}
	sayRestored(a.out, done)
	return nil
}

func sayRestored(w io.Writer, r scheduler.Restored) {
	fmt.Fprintf(w, "Its newest record is of %s. What happened since is lost, and the chat platform will not say it again.\n", r.Since.UTC().Format("2006-01-02 15:04 UTC"))
	fmt.Fprintf(w, "%d patients: every advice that waited is void, and each setting is in doubt.\n%d messages that waited are not sent; which of them went out before, nobody knows.\n", r.Patients, r.Void)
	fmt.Fprintln(w, `Next: start serve. Until your release it writes to nobody. Who writes is told to change
nothing and whom to call, and emergencies reach staff. With staff, look at the queue and call
whoever had something open. End again whoever left since. Then run: release -sure`)
}

// release lets the program speak again after a restore.
func release(ctx context.Context, a app, args []string) error {
	f := a.flags("release", "after a restore: show what waits; with -sure, let the program speak again and ask each patient for the setting")
	sure := f.Bool("sure", false, "the copy was looked at with staff; without it nothing is changed")
	if err := parse(f, args); err != nil {
		return err
	}
	t, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer t.Store.Close()
	pr, err := t.Runner.Practice(ctx)
	if err != nil {
		return err
	}
	if pr.Epoch == 0 {
		return errors.New("this store was never restored; there is nothing to release")
	}
	if !pr.Frozen() && !*sure {
		fmt.Fprintln(a.out, "Nothing waits for a release.")
		return nil
	}
	if !*sure {
		return t.sayFrozen(ctx, a.out, &pr)
	}
	asked, err := t.Runner.Release(ctx)
	if err != nil {
		return fmt.Errorf("interrupted; run it again: %w", err)
	}
	if !pr.Frozen() {
		fmt.Fprintln(a.out, "It was released before. Whoever was asked for the setting then is not asked again.")
		return nil
	}
	fmt.Fprintf(a.out, "Released. %d patients are asked for the setting first, staff are told what is lost. Messages go out within a minute where serve runs.\n", asked)
	return nil
}

// sayFrozen shows what the release would end.
func (t *tool) sayFrozen(ctx context.Context, w io.Writer, pr *practice.Practice) error {
	patients, open := 0, 0
	for s, err := range t.Store.List(ctx, store.Query{}) {
		if err != nil {
			return err
		}
		patients++
		if s.Class != 0 {
			open++
		}
	}
	from, to := pr.GapFrom, pr.GapTo
	fmt.Fprintf(w, "A copy was restored. What happened from %s %02d:%02d to %s %02d:%02d, the practice's time, is lost.\n",
		from.Date, from.Clock/60, from.Clock%60, to.Date, to.Clock/60, to.Clock%60)
	fmt.Fprintf(w, "%d patients, %d of them with something open. Nothing is changed. When the copy was looked at with staff: release -sure\n", patients, open)
	return nil
}
