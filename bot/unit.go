package main

import (
	"bytes"
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"duskdawn/bot/setup"
)

// units are the files for the service manager: the bot, a nightly copy of its
// store, and a look at it each minute.
//
//go:embed unit
var units embed.FS

// unit prints the files for systemd, or writes them.
func unit(_ context.Context, a app, args []string) error {
	f := a.flags("unit", "print the files for systemd: the service, a nightly backup, and the watch with its timer")
	to := f.String("to", "", "write them into this directory, /etc/systemd/system usually; one that was changed there is left, and named")
	if err := parse(f, args); err != nil {
		return err
	}
	files, err := units.ReadDir("unit")
	if err != nil {
		return err
	}
	for _, file := range files {
		text, err := units.ReadFile("unit/" + file.Name())
		if err != nil {
			return err
		}
		if *to == "" {
			fmt.Fprintf(a.out, "# %s\n%s\n", file.Name(), text)
			continue
		}
		path := filepath.Join(*to, file.Name())
		switch old, _, err := setup.FromDisk(path); {
		case err == nil && !bytes.Equal(old, text):
			fmt.Fprintf(a.out, "%s is there and differs; it is left as it is. Settings of your own belong into %s.d/local.conf\n", path, path)
			continue
		case err != nil && !errors.Is(err, fs.ErrNotExist):
			return fmt.Errorf("reading what is there: %w", err)
		}
		if err := os.WriteFile(path, text, 0o644); err != nil {
			return fmt.Errorf("writing: %w", err)
		}
		fmt.Fprintln(a.out, path)
	}
	return nil
}
