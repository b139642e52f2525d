package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"duskdawn/bot/program"
	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// backup copies the store of a running program into a new file, and checks the copy.
func backup(ctx context.Context, a app, args []string) error {
	f := a.flags("backup", "copy the SQLite store, also while serve runs, into a new file, and check the copy")
	to := f.String("to", "", "path of the copy; it must not exist")
	if err := parse(f, args); err != nil {
		return err
	}
	if *to == "" {
		fmt.Fprintln(a.err, "backup: -to is needed")
		return errUsage
	}
	if _, err := os.Lstat(*to); err == nil {
		return fmt.Errorf("%s is there already; a copy never overwrites", *to)
	}
	st, done, err := a.copied(ctx)
	if err != nil {
		return err
	}
	defer done()
	file, ok := st.(*sqlite.Store)
	if !ok {
		return errors.New("only a SQLite store is copied here; for Redis, copy its append-only files as its manual says")
	}
	if err := file.Backup(ctx, *to); err != nil {
		return fmt.Errorf("copying: %w", err)
	}
	damaged := 0
	for name, err := range file.Damaged(ctx) {
		if err != nil {
			return fmt.Errorf("the copy %s is made, but its rows cannot be looked at: %w", *to, err)
		}
		damaged++
		fmt.Fprintf(a.err, "%q is not as it was stored\n", name)
	}
	if damaged > 0 {
		return fmt.Errorf("the copy %s is made, with the damaged rows of the store in it (%d): throw no older copy away, and ask who can repair it", *to, damaged)
	}
	if err := program.MarkCopied(file.Path()); err != nil {
		return fmt.Errorf("the copy is whole, but that is not noted: %w", err)
	}
	fmt.Fprintf(a.out, "%s is whole. Keep it away from this machine, and encrypted: it holds health data.\n", *to)
	return nil
}

// copied is the store that is copied, and what closes it.
func (a app) copied(ctx context.Context) (st store.Store, done func(), err error) {
	if a.on != nil {
		return a.on.Store, func() {}, nil
	}
	_, set, err := a.wordsAndSettings()
	if err != nil {
		return nil, nil, err
	}
	if strings.HasPrefix(set.Store.Reveal(), "sqlite:") {
		if err := kept(ctx, set); err != nil {
			return nil, nil, err
		}
	}
	st, err = program.OpenStore(ctx, set.Store, false)
	if err != nil {
		return nil, nil, err
	}
	return st, func() { st.Close() }, nil
}
