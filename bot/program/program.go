package program

import (
	"context"
	"fmt"
	"log/slog"
	"runtime/debug"
	"strings"
	"sync/atomic"
	"time"

	"duskdawn/bot/chat"
	"duskdawn/bot/metrics"
	"duskdawn/bot/outside"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/desk"
	"duskdawn/flows/enrol"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// Program is the whole bot, wired: serve runs it against the platform, rehearse
// against the stand-in.
type Program struct {
	Store     store.Store
	Words     *locales.Words
	Runner    *scheduler.Runner
	api       *telegram.Client
	Inbound   *chat.Inbound
	Clock     scheduler.Clock
	zones     *scheduler.Zones
	Poller    *telegram.Poller
	leader    leader
	regaining atomic.Int64 // rounds of regain that run
	away      atomic.Int64 // nanoseconds that no update could be taken, before the last that came
	noted     time.Time    // when an answer of the platform was last noted in the store; the poller's own
	strangers budget
	rival     rivals
	vitals
	log *slog.Logger
}

// Parts is what a program is made of.
type Parts struct {
	Store  store.Store
	API    *telegram.Client
	Clock  scheduler.Clock
	Log    *slog.Logger
	Call   *outside.Call // nil where none is set
	Free   bool          // no flood limit, to measure speed
	Hooked bool          // the platform calls us, and is not polled
}

// Build wires a program.
func Build(ctx context.Context, with Parts) (*Program, error) {
	words, err := locales.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the words: %w", err)
	}
	if with.Log == nil {
		with.Log = slog.New(slog.DiscardHandler)
	}
	p := &Program{Store: with.Store, Words: words, api: with.API, Clock: with.Clock, zones: scheduler.NewZones(),
		log: with.Log}
	out := &chat.Outbound{API: with.API, Words: words, Store: with.Store, Practice: p.Practice, Media: p.media,
		List: p.listed}
	var call scheduler.Caller
	if with.Call != nil {
		call = caller{with.Call}
	}
	p.Runner, err = scheduler.New(ctx, scheduler.Options{
		Store: with.Store, Sender: sender{out, &p.vitals, with.Clock.Now}, Caller: call, Clock: with.Clock, Log: with.Log, Unlimited: with.Free,
		Moves: p.beats.runner.Within,
		Logic: scheduler.Logic{Patient: flows.Apply, Practice: desk.NextPractice, Chat: nextChat},
	})
	if err != nil {
		return nil, err
	}
	p.hooked = with.Hooked
	p.rival.set = p.setRival
	p.metrics = metrics.New(p.counted())
	p.Inbound = &chat.Inbound{Store: with.Store, Runner: events{p.Runner, p.zonesOf}, Words: words, Answer: p.answer,
		Delete: p.delete, Stranger: p.stranger}
	return p, nil
}

// nextChat runs the desk's flow on a chat's stored body.
func nextChat(pr practice.Practice, id int64, body []byte, e flows.Event) ([]byte, string, []flows.Effect, error) {
	c := desk.Chat{ID: id}
	if len(body) > 0 {
		if err := store.Decode(body, &c); err != nil {
			return nil, "", nil, fmt.Errorf("a chat: %w", err)
		}
	}
	next, fx := desk.Next(pr, c, e)
	stored, err := store.Encode(next)
	if err != nil {
		return nil, "", nil, err
	}
	return stored, next.Lang, fx, nil
}

func (p *Program) Practice(ctx context.Context) (practice.Practice, error) {
	return p.Runner.Practice(ctx)
}

// zonesOf finds the zones that a text names, or whose clocks show the time it gives.
func (p *Program) zonesOf(text string) []string {
	if names := p.zones.Find(text); len(names) > 0 {
		return names
	}
	c, ok := enrol.ParseClock(strings.TrimSpace(text))
	if !ok {
		return nil
	}
	home := ""
	if pr, err := p.Practice(context.Background()); err == nil {
		home = pr.Zone
	}
	return p.zones.Fitting(p.Clock.Now(), c, home)
}

// answer stops the little clock on a pressed button. The commit is behind it,
// so a failure is no loss.
func (p *Program) answer(ctx context.Context, callback, text string) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	p.api.Answer(ctx, callback, text, false)
}

// delete takes a message out of a chat; where that fails the person is asked to.
func (p *Program) delete(ctx context.Context, chat, message int64) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	p.api.Delete(ctx, chat, message)
}

// events offers the runner to bot/chat.
type events struct {
	*scheduler.Runner
	zones func(text string) []string
}

func (events) ChatRef(chat int64) store.Ref            { return scheduler.ChatRef(chat) }
func (e events) Zones(text string) []string            { return e.zones(text) }
func (events) PatientRef(id chart.PatientID) store.Ref { return scheduler.PatientRef(id) }
func (events) PracticeRef() store.Ref                  { return scheduler.PracticeRef() }

// Version is what the program was built from.
func Version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "unknown"
	}
	return info.Main.Version
}

// counted is what the metrics read.
func (p *Program) counted() metrics.Source {
	return metrics.Source{
		Store: p.Store, Stats: &p.Runner.Stats, Version: Version(), Now: p.Clock.Now, Leads: p.leader.leads,
		Backup: p.backedUp,
		Polled: func() time.Time {
			if ns := p.answered.Load(); ns != 0 {
				return time.Unix(0, ns)
			}
			return time.Time{}
		},
		Skew: func() (time.Duration, bool) {
			if d := p.skew.Load(); d != nil {
				return *d, true
			}
			return 0, false
		},
		Holds: map[string]func() bool{"clock": p.Runner.Doubt, "restore": p.Runner.Frozen, "rival": p.Runner.Rival,
			"token": p.refused, "store": p.unstored.Load, "flood": func() bool { return p.flooded(context.Background()) != nil }},
	}
}
