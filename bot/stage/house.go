package stage

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/rehearsal"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// House opens the rehearsal's worlds. Scenes are played in memory, but for a
// house that keeps them.
type House struct {
	commands Commands // of the host
	crowd    int      // how many invented patients the opening has besides
	words    *locales.Words
	log      *slog.Logger
	shelf    *shelf // nil where worlds end with the program
}

// NewHouse loads the words.
func NewHouse(log *slog.Logger) (*House, error) {
	words, err := locales.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the words: %w", err)
	}
	return &House{words: words, log: log}, nil
}

// Languages and Words are the page's.
func (h *House) Languages() []string { return h.words.Languages() }
func (h *House) Words(lang string) map[string]string {
	return h.words.Topic(lang, "page.", "scene.", "format.month.", "format.weekday.")
}

// scenes in the order in which the page shows them, which is that of a course;
// each is a file of scenario/scenes.
var scenes = []string{"first-night", "soreness", "emergency", "enrolment", "partner-away", "no-gain", "asleep",
	"broken", "ceiling", "failed-test", "relapse", "clock-change", "journey", "silence", "monday"}

// Scenes lists them.
func (h *House) Scenes() []string { return slices.Clone(scenes) }

// Open starts a scene in memory; the opening where it has no name.
func (h *House) Open(ctx context.Context, scene string) (rehearsal.World, error) {
	// A world lives longer than the request that opens it.
	ctx = context.WithoutCancel(ctx)
	if scene == "" {
		return h.on(ctx, func(st store.Store) (*World, error) { return h.Opening(ctx, st) })
	}
	raw, err := Scenario.ReadFile("scenario/scenes/" + scene + ".txt")
	if err != nil {
		return nil, rehearsal.ErrNoScene
	}
	w, err := h.on(ctx, func(st store.Store) (*World, error) {
		return h.play(ctx, st, strings.Split(strings.TrimSpace(string(raw)), "\n"))
	})
	if err != nil {
		return nil, fmt.Errorf("the scene %s: %w", scene, err)
	}
	return w, nil
}

// on makes a world on a store of its own, which it closes.
func (h *House) on(ctx context.Context, build func(store.Store) (*World, error)) (rehearsal.World, error) {
	place, err := h.place(ctx)
	if err != nil {
		return nil, err
	}
	w, err := build(place.Store)
	if err != nil {
		place.drop()
		return nil, err
	}
	w.kept = place
	return w, nil
}

// Opening is what the page begins with: the practice three weeks on, at an
// evening's check-in of a patient on the way.
func (h *House) Opening(ctx context.Context, st store.Store) (*World, error) {
	s, err := sceneWith(ctx, st, h.log, h.crowd)
	if err != nil {
		return nil, err
	}
	if err := s.gather(ctx); err != nil {
		s.Close()
		return nil, err
	}
	s.commands = h.commands
	s.hosted(h.commands)
	w, err := NewWorld(ctx, s, Heron)
	if err != nil {
		s.Close()
		return nil, err
	}
	if at, ok := w.Moment(rehearsal.Chat{User: Heron}, "evening"); ok {
		err = w.Move(ctx, at)
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return w, nil
}

// play opens a scene's world and carries out its lines.
func (h *House) play(ctx context.Context, st store.Store, lines []string) (w *World, err error) {
	lines = slices.DeleteFunc(lines, func(l string) bool { return strings.HasPrefix(l, "#") })
	if len(lines) == 0 {
		return nil, errors.New("a scene without a line")
	}
	wall, zone, err := startOf(lines[0])
	if err != nil {
		return nil, err
	}
	z, err := scheduler.NewZones().Load(zone)
	if err != nil {
		return nil, err
	}
	g, err := Open(ctx, z.Instant(wall), program.Parts{Store: st, Log: h.log, Free: true})
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			g.Close()
		}
	}()
	s := &Scene{Stage: g, free: true}
	if err := s.staffed(ctx, map[string]string{"zone": zone}); err != nil {
		return nil, err
	}
	if err := s.gather(ctx); err != nil {
		return nil, err
	}
	s.stranger()
	s.commands = h.commands
	s.hosted(h.commands)
	if w, err = NewWorld(ctx, s, UserClinician); err != nil {
		return nil, err
	}
	w.script = script{whole: true, noted: w.Now().Truncate(time.Minute), lines: []string{lines[0]}}
	for _, line := range lines[1:] {
		if err := w.run(ctx, strings.TrimSpace(line)); err != nil {
			return nil, fmt.Errorf("%q: %w", line, err)
		}
	}
	for i := range s.People {
		if s.People[i].Zone == "" {
			s.People[i].Zone = zone
		}
	}
	_, err = w.Look(ctx)
	return w, err
}
