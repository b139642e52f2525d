package main

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"duskdawn/bot/health"
	"duskdawn/bot/logs"
	"duskdawn/bot/program"
	"duskdawn/bot/telegram"
	"duskdawn/scheduler"
)

// serve runs the bot until it is told to stop; that may be while it starts.
func serve(ctx context.Context, a app, args []string) error {
	err := serveUntil(ctx, a, args)
	if ctx.Err() != nil && errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

func serveUntil(ctx context.Context, a app, args []string) error {
	f := a.flags("serve", "run the bot; settings are DUSKDAWN_... variables, see the README")
	if err := parse(f, args); err != nil {
		return err
	}
	words, set, err := a.wordsAndSettings()
	if err != nil {
		return err
	}
	if set.Token.Reveal() == "" {
		return errors.New("DUSKDAWN_TOKEN is missing: the bot's token, or DUSKDAWN_TOKEN_FILE with its path. To try without one: rehearse")
	}
	log := logs.New(a.err)
	defer logs.Capture(log)()
	watch := program.WatchDate(telegram.Kept())
	api, err := telegram.New(telegram.Options{Token: telegram.Secret(set.Token.Reveal()), Address: set.API,
		Transport: watch, Log: log, Refused: a.refused})
	if err != nil {
		return err
	}
	call, err := callOf(set)
	if err != nil {
		return err
	}
	st, err := program.OpenStore(ctx, set.Store, true)
	if err != nil {
		return err
	}
	defer st.Close()
	clock, err := program.CommonClock(ctx, scheduler.RealClock{}, st)
	if err != nil {
		return fmt.Errorf("reading the store's clock: %w", err)
	}
	last, err := st.Granted(ctx)
	if err != nil {
		return fmt.Errorf("reading when the last message went out: %w", err)
	}
	clock = scheduler.NewSteadyClock(clock, last)
	p, err := program.Build(ctx, program.Parts{Store: st, API: api, Clock: clock, Log: log, Call: call, Hooked: set.Webhook != ""})
	if err != nil {
		return err
	}
	p.Watch(watch)
	if err := a.loadPractice(ctx, p.Runner, words, set.Practice); err != nil {
		return err
	}
	if pr, err := p.Practice(ctx); err == nil && pr.Zone == "" {
		return errors.New("no practice is known yet: name its file in DUSKDAWN_PRACTICE; the README says how to begin one")
	}
	log.Info("start", "version", program.Version(), "zones", scheduler.DataVersion(), "languages", len(words.Languages()))
	stop, err := p.Listen(set.Listen, set.Hook.Reveal())
	if err != nil {
		return err
	}
	defer stop()
	end := p.Attend(ctx, health.ManagerOf(a.env))
	defer end()
	log.Info("ready", "address", set.Listen, "webhook", set.Webhook != "")
	var beside sync.WaitGroup
	defer beside.Wait()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	beside.Go(func() { p.IntroduceBeside(ctx) })
	if set.Webhook != "" {
		if r := api.SetWebhook(ctx, set.Webhook, telegram.Secret(set.Hook.Reveal())); r.Outcome != telegram.Sent && ctx.Err() == nil { // stopped meanwhile: as at any other time
			return fmt.Errorf("setting the webhook: %s", r.Class)
		}
		return p.Called(ctx)
	}
	return p.Poll(ctx, nil)
}
