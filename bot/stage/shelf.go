package stage

import (
	"bytes"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/rehearsal"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
)

// shelf is where worlds lie that outlive the program. Each has a file of its own
// for its store, the first one path itself; path.room has all else, and names the
// store of the world that is open.
type shelf struct {
	path string
	next int
}

// Keep has every world that is opened from now on outlive the program.
func (h *House) Keep(path string) { h.shelf = &shelf{path: path, next: 1} }

// place is where one world is kept: its store, which the world closes.
type place struct {
	Store store.Store
	shelf *shelf
	file  string
}

// place makes a new one.
func (h *House) place(ctx context.Context) (*place, error) {
	if h.shelf == nil {
		return &place{Store: memory.New()}, nil
	}
	for file := h.shelf.path; ; file = h.shelf.path + "." + strconv.Itoa(h.shelf.next) {
		_, err := os.Stat(file)
		switch {
		case err == nil:
			h.shelf.next++
			continue
		case !errors.Is(err, os.ErrNotExist):
			return nil, fmt.Errorf("looking for a place: %w", err)
		}
		return h.shelf.open(ctx, file)
	}
}

func (s *shelf) open(ctx context.Context, file string) (*place, error) {
	st, err := program.OpenStore(ctx, setup.Secret("sqlite:"+file), true)
	if err != nil {
		return nil, err
	}
	return &place{Store: st, shelf: s, file: file}, nil
}

// left is a world as it is written down in path.room.
type left struct {
	File     string // of its store, beside path.room
	Now      time.Time
	Platform []byte
	Room     []byte // what the page knows

	People []rehearsal.Chat
	Zone   string
	Focus  int64
	Opens  int64
	Script []string
	Noted  time.Time
	Whole  bool
	Free   bool
}

// Save writes the world down, where it is kept.
func (w *World) Save(room func() ([]byte, error)) error {
	if w.kept == nil || w.kept.shelf == nil {
		return nil
	}
	out := left{File: filepath.Base(w.kept.file), Now: w.Now(), People: w.People, Zone: w.zone, Focus: w.focus,
		Opens: w.opens, Script: w.script.lines, Noted: w.script.noted, Whole: w.script.whole, Free: w.free}
	var err error
	if out.Room, err = room(); err != nil {
		return err
	}
	if out.Platform, err = w.Platform().Save(); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(out); err != nil {
		return err
	}
	return replace(w.kept.shelf.room(), b.Bytes())
}

func (s *shelf) room() string { return s.path + ".room" }

// replace puts a file in the place of another, so that one of the two is there
// whenever the program ends.
func replace(path string, raw []byte) error {
	if err := os.WriteFile(path+".new", raw, 0o600); err != nil {
		return err
	}
	return os.Rename(path+".new", path)
}

// readLeft reads path.room; false where there is none.
func (s *shelf) readLeft() (in left, ok bool, err error) {
	raw, err := os.ReadFile(s.room())
	if errors.Is(err, os.ErrNotExist) {
		return in, false, nil
	}
	if err == nil {
		err = gob.NewDecoder(bytes.NewReader(raw)).Decode(&in)
	}
	return in, err == nil, err
}

// Close ends the world and closes its store. Where another one has taken its
// place on the shelf, its file goes.
func (w *World) Close() {
	w.Scene.Close()
	if w.kept != nil {
		w.kept.close()
	}
}

func (p *place) close() {
	_ = p.Store.Close()
	if p.shelf == nil {
		return
	}
	if in, ok, err := p.shelf.readLeft(); err == nil && (!ok || in.File != filepath.Base(p.file)) {
		p.remove()
	}
}

// drop closes and removes what no world came to live in.
func (p *place) drop() {
	_ = p.Store.Close()
	if p.shelf != nil {
		p.remove()
	}
}

func (p *place) remove() {
	for _, end := range []string{"", "-wal", "-shm", ".lock"} {
		_ = os.Remove(p.file + end)
	}
}

// Resume goes on with the world that was open when the program ended, and gives
// what the page knew of it. No world: none was.
func (h *House) Resume(ctx context.Context) (*World, []byte, error) {
	in, ok, err := h.shelf.readLeft()
	if err != nil {
		return nil, nil, fmt.Errorf("%s is not what a rehearsal left; with another name it begins anew: %w",
			h.shelf.room(), err)
	}
	if !ok {
		return nil, nil, nil
	}
	file := filepath.Join(filepath.Dir(h.shelf.path), in.File)
	if _, err := os.Stat(file); err != nil {
		return nil, nil, fmt.Errorf("the store of what a rehearsal left: %w", err)
	}
	at, err := h.shelf.open(ctx, file)
	if err != nil {
		return nil, nil, err
	}
	w, err := h.raise(context.WithoutCancel(ctx), at.Store, in)
	if err != nil {
		_ = at.Store.Close()
		return nil, nil, err
	}
	w.kept = at
	return w, in.Room, nil
}

// raise starts the program again where it was left.
func (h *House) raise(ctx context.Context, st store.Store, in left) (*World, error) {
	now, err := latest(ctx, st, in.Now)
	if err != nil {
		return nil, err
	}
	hands := scheduler.NewManualClock(now)
	platform, err := standin.Load(in.Platform, standin.Options{Now: hands.Now})
	if err != nil {
		return nil, err
	}
	g, err := Raise(ctx, platform, hands, program.Parts{Store: st, Log: h.log, Free: in.Free})
	if err != nil {
		return nil, err
	}
	s := &Scene{Stage: g, commands: h.commands, People: in.People, zone: in.Zone, focus: in.Focus, free: in.Free}
	w, err := s.again(ctx, in)
	if err != nil {
		g.Close()
		return nil, err
	}
	return w, nil
}

// again is the rest of it, which is asked of the program.
func (s *Scene) again(ctx context.Context, in left) (*World, error) {
	pr, err := s.Practice(ctx)
	if err != nil {
		return nil, err
	}
	for _, one := range pr.Staff {
		if one.Role == practice.Clinician {
			s.Doctor = one
			break
		}
	}
	if err := s.Quiet(ctx); err != nil {
		return nil, err
	}
	w, err := NewWorld(ctx, s, in.Opens)
	if err != nil {
		return nil, err
	}
	w.script = script{lines: in.Script, noted: in.Noted, whole: in.Whole}
	return w, nil
}

// latest is when the clock stood last: a program that was killed may have gone on
// after it last wrote down where it was, and a clock never goes back.
func latest(ctx context.Context, st store.Store, at time.Time) (time.Time, error) {
	for ref, err := range st.Refs(ctx) {
		if err != nil {
			return at, fmt.Errorf("looking for the newest of what is stored: %w", err)
		}
		for rec, err := range st.Journal(ctx, ref) {
			if err != nil {
				return at, fmt.Errorf("looking for the newest of what is stored: %w", err)
			}
			if rec.At.After(at) {
				at = rec.At
			}
		}
	}
	return at, nil
}
