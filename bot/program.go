package main

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"sync/atomic"
	"time"

	"duskdawn/bot/chat"
	"duskdawn/bot/metrics"
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

// program is the whole bot, wired: serve runs it against the platform, rehearse
// against the stand-in.
type program struct {
	store  store.Store
	words  *locales.Words
	runner *scheduler.Runner
	api    *telegram.Client
	in     *chat.Inbound
	clock  scheduler.Clock
	zones  *scheduler.Zones
	poller *telegram.Poller
	leader leader
	away   atomic.Int64 // nanoseconds that no update could be taken, before the last that came
	noted  time.Time    // when an answer of the platform was last noted in the store; the poller's own
	rival  rivals
	vitals
	log *slog.Logger
}

// parts is what a program is made of.
type parts struct {
	store store.Store
	api   *telegram.Client
	clock scheduler.Clock
	log   *slog.Logger
	free  bool // no flood limit, to measure speed
}

// build wires a program.
func build(ctx context.Context, with parts) (*program, error) {
	words, err := locales.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the words: %w", err)
	}
	if with.log == nil {
		with.log = slog.New(slog.DiscardHandler)
	}
	p := &program{store: with.store, words: words, api: with.api, clock: with.clock, zones: scheduler.NewZones(),
		log: with.log}
	out := &chat.Outbound{API: with.api, Words: words, Store: with.store, Practice: p.practice, Media: p.media,
		List: p.listed}
	p.runner, err = scheduler.New(ctx, scheduler.Options{
		Store: with.store, Sender: sender{out, &p.vitals}, Clock: with.clock, Log: with.log, Unlimited: with.free,
		Moves: p.beats.runner.Within,
		Logic: scheduler.Logic{Patient: flows.Apply, Practice: desk.NextPractice, Chat: nextChat},
	})
	if err != nil {
		return nil, err
	}
	p.rival.set = p.setRival
	p.metrics = metrics.New(p.counted())
	p.in = &chat.Inbound{Store: with.store, Runner: events{p.runner, p.zonesOf}, Words: words, Answer: p.answer}
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

func (p *program) practice(ctx context.Context) (practice.Practice, error) {
	return p.runner.Practice(ctx)
}

// zonesOf finds the zones that a text names, or whose clocks show the time it gives.
func (p *program) zonesOf(text string) []string {
	if names := p.zones.Find(text); len(names) > 0 {
		return names
	}
	c, ok := enrol.ParseClock(strings.TrimSpace(text))
	if !ok {
		return nil
	}
	home := ""
	if pr, err := p.practice(context.Background()); err == nil {
		home = pr.Zone
	}
	return p.zones.Fitting(p.clock.Now(), c, home)
}

// answer stops the little clock on a pressed button. The commit is behind it,
// so a failure is no loss.
func (p *program) answer(ctx context.Context, callback, text string) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	p.api.Answer(ctx, callback, text, false)
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

// sender turns the platform's outcomes into the scheduler's.
type sender struct {
	out *chat.Outbound
	v   *vitals
}

// answers reports whether the platform is there at all. What is in doubt is said
// once more and no oftener, so that once must not be spent on an outage.
func (s sender) answers(ctx context.Context) bool {
	_, _, r := s.out.API.Me(ctx)
	return r.Outcome == telegram.Sent
}

func (s sender) Send(ctx context.Context, it store.Item, written func() error) scheduler.Result {
	began := time.Now()
	if it.Written && !s.answers(ctx) {
		return scheduler.Result{Outcome: store.Pending, Class: "the platform does not answer"}
	}
	sent := s.out.Send(ctx, it, written)
	s.v.metrics.Sent(it.Lane, sent.Outcome.String(), time.Since(began))
	r := scheduler.Result{Message: sent.MessageID, Wait: sent.RetryAfter, MovedTo: sent.MigrateTo, Text: sent.Text,
		Class: sent.Class}
	switch sent.Outcome {
	case telegram.Sent:
		r.Outcome = store.Sent
	case telegram.Rejected:
		r.Outcome = store.Rejected
	case telegram.Blocked:
		r.Outcome = store.Blocked
	case telegram.Unknown:
		r.Outcome = store.Doubt
	default: // Later, Moved, NotWritten, Conflict, Revoked: surely not sent
		r.Outcome = store.Pending
	}
	return r
}
