package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/flows"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redis"
)

// settings reads the environment; what is wrong with it is printed, line by line.
func (a app) settings(words *locales.Words) (setup.Settings, error) {
	s, faults := setup.Read(a.env, setup.FromDisk)
	if path := redis.KeyFile(s.Store.Reveal()); path != "" {
		if info, err := os.Stat(path); err == nil { // one that is not there, opening the store tells of
			faults = append(faults, setup.Exposed("DUSKDAWN_STORE", path, info.Mode())...)
		}
	}
	return s, a.faults(words, "settings", faults)
}

// wordsAndSettings are what every command that works on the store begins with.
func (a app) wordsAndSettings() (*locales.Words, setup.Settings, error) {
	words, err := locales.Load()
	if err != nil {
		return nil, setup.Settings{}, fmt.Errorf("loading the words: %w", err)
	}
	set, err := a.settings(words)
	return words, set, err
}

// faults prints what is wrong with a file or the settings, and says whether
// any of it refuses.
func (a app) faults(words *locales.Words, of string, faults []setup.Fault) error {
	for _, f := range faults {
		at := f.Key
		if f.Line > 0 {
			at = fmt.Sprintf("line %d, %s", f.Line, f.Key)
		}
		fmt.Fprintf(a.err, "%s: %s: %s\n", of, at, words.Line(locales.Source, f.Say))
	}
	if setup.Refused(faults) {
		return fmt.Errorf("the %s cannot be used as they are", of)
	}
	return nil
}

// tool is a program that does not run, for the commands of the host: its store,
// its runner and the words.
type tool struct {
	*program.Program
	settings setup.Settings
	lent     bool // it is a running program's, which is not closed here
}

// close closes what open opened.
func (t *tool) close() {
	if !t.lent {
		t.Store.Close()
	}
}

// open opens the store for a command that works beside a running program.
func (a app) open(ctx context.Context) (*tool, error) { return a.openAs(ctx, false) }

// openKept is open for what makes no sense before a first start: where there is
// no file, or no practice in it, a name was mistyped.
func (a app) openKept(ctx context.Context) (*tool, error) {
	_, set, err := a.wordsAndSettings()
	if err != nil {
		return nil, err
	}
	if err := kept(ctx, set); err != nil {
		return nil, err
	}
	return a.open(ctx)
}

// kept looks whether the store that is named holds a practice, and touches nothing.
func kept(ctx context.Context, set setup.Settings) error {
	st, err := program.LookAt(ctx, set.Store)
	if err == nil {
		defer st.Close()
		_, err = st.Get(ctx, scheduler.PracticeRef())
	}
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, store.ErrNotFound) {
		return errors.New("the store that DUSKDAWN_STORE names holds no practice; is the name right?")
	}
	return nil // whoever opens it says what else is wrong
}

// openAs is open; alone says that nothing serves from the store.
func (a app) openAs(ctx context.Context, alone bool) (*tool, error) {
	if a.on != nil {
		return &tool{Program: a.on.Program, lent: true}, nil
	}
	_, set, err := a.wordsAndSettings()
	if err != nil {
		return nil, err
	}
	st, err := program.OpenStore(ctx, set.Store, alone)
	if err != nil {
		return nil, err
	}
	p, err := program.Build(ctx, program.Parts{Store: st, Clock: scheduler.RealClock{}})
	if err != nil {
		st.Close()
		return nil, err
	}
	return &tool{Program: p, settings: set}, nil
}

// loadPractice brings the practice's file into the store, where it differs
// from what was brought before.
func (a app) loadPractice(ctx context.Context, r *scheduler.Runner, words *locales.Words, path string) error {
	if path == "" {
		return nil
	}
	raw, _, err := setup.FromDisk(path)
	if err != nil {
		return fmt.Errorf("reading the practice's file: %w", err)
	}
	pr, faults := setup.Practice(raw, words.Languages())
	if err := a.faults(words, "practice", faults); err != nil {
		return err
	}
	for i := range pr.Cards {
		pr.Cards[i].File = program.CardFile(filepath.Dir(path), pr.Cards[i])
	}
	return program.BringPractice(ctx, r, pr, raw)
}

// findPatient finds a patient by id or by the practice's own label.
func (t *tool) findPatient(ctx context.Context, name string) (flows.Patient, error) {
	read := func(ref store.Ref) (flows.Patient, error) {
		g, err := t.Store.Get(ctx, ref)
		if err != nil {
			return flows.Patient{}, err
		}
		return store.DecodePatient(g.Body)
	}
	p, err := read(store.Ref{Kind: store.Patient, ID: name})
	if err == nil || !errors.Is(err, store.ErrNotFound) {
		return p, err
	}
	for s, err := range t.Runner.Labelled(ctx, name) {
		if err != nil {
			return flows.Patient{}, err
		}
		return read(s.Ref)
	}
	return flows.Patient{}, errors.New("there is no patient of that id or label")
}
