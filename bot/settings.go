package main

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"duskdawn/bot/setup"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// settings reads the environment; what is wrong with it is printed, line by line.
func (a app) settings(words *locales.Words) (setup.Settings, error) {
	s, faults := setup.Read(a.env, os.ReadFile)
	return s, a.faults(words, "settings", faults)
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

// tool is a store, its runner and the words, for the commands of the host.
type tool struct {
	store    store.Store
	runner   *scheduler.Runner
	words    *locales.Words
	settings setup.Settings
}

// open opens the store for a command that works beside a running program.
func (a app) open(ctx context.Context) (*tool, error) {
	words, err := locales.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the words: %w", err)
	}
	set, err := a.settings(words)
	if err != nil {
		return nil, err
	}
	st, err := openStore(ctx, set.Store, false)
	if err != nil {
		return nil, err
	}
	p, err := build(ctx, parts{store: st, clock: scheduler.RealClock{}})
	if err != nil {
		st.Close()
		return nil, err
	}
	return &tool{st, p.runner, words, set}, nil
}

// loadPractice brings the practice's file into the store, where it differs
// from what was brought before.
func (a app) loadPractice(ctx context.Context, r *scheduler.Runner, words *locales.Words, path string) error {
	if path == "" {
		return nil
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("reading the practice's file: %w", err)
	}
	pr, faults := setup.Practice(raw, words.Languages())
	if err := a.faults(words, "practice", faults); err != nil {
		return err
	}
	for i := range pr.Cards {
		pr.Cards[i].File = cardFile(filepath.Dir(path), pr.Cards[i])
	}
	return bringPractice(ctx, r, pr, raw)
}

// cardFile says of a how-to card's picture what it is and where: a file beside
// the practice's own, or else one that the platform knows by an id.
func cardFile(dir string, c practice.Card) string {
	if c.File == "" {
		return ""
	}
	kind := string(telegram.Photo)
	if c.Video {
		kind = string(telegram.Video)
	}
	path := c.File
	if !filepath.IsAbs(path) {
		path = filepath.Join(dir, path)
	}
	if st, err := os.Stat(path); err == nil && st.Mode().IsRegular() {
		return kind + ":file:" + path
	}
	return kind + ":id:" + c.File
}

// bringPractice is one event per content of the file: the same file twice changes nothing.
func bringPractice(ctx context.Context, r *scheduler.Runner, pr practice.Practice, raw []byte) error {
	now, err := r.Practice(ctx)
	if err != nil {
		return err
	}
	event := fmt.Sprintf("settings/%d/%x", now.Rev, sha256.Sum256(raw))
	return r.Handle(ctx, scheduler.PracticeRef(), event, flows.Settings{Practice: pr, Off: r.OffDuty(pr),
		Actor: flows.Actor{ID: practice.OwnerID, Role: practice.Owner}})
}

// findPatient finds a patient by id or by the practice's own label.
func (t *tool) findPatient(ctx context.Context, name string) (flows.Patient, error) {
	read := func(ref store.Ref) (flows.Patient, error) {
		g, err := t.store.Get(ctx, ref)
		if err != nil {
			return flows.Patient{}, err
		}
		return store.DecodePatient(g.Body)
	}
	p, err := read(store.Ref{Kind: store.Patient, ID: name})
	if err == nil || !errors.Is(err, store.ErrNotFound) {
		return p, err
	}
	for s, err := range t.runner.Labelled(ctx, name) {
		if err != nil {
			return flows.Patient{}, err
		}
		return read(s.Ref)
	}
	return flows.Patient{}, errors.New("there is no patient of that id or label")
}
