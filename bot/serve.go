package main

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"

	"duskdawn/bot/health"
	"duskdawn/bot/logs"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// maxSkew is how far our clock may be from the platform's before no advice goes forward.
const maxSkew = 2 * time.Minute

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
	words, err := locales.Load()
	if err != nil {
		return fmt.Errorf("loading the words: %w", err)
	}
	set, err := a.settings(words)
	if err != nil {
		return err
	}
	if set.Token.Reveal() == "" {
		return errors.New("DUSKDAWN_TOKEN is missing: the bot's token, or DUSKDAWN_TOKEN_FILE with its path. To try without one: rehearse")
	}
	log := logs.New(a.err)
	defer logs.Capture(log)()
	watch := &dateWatch{next: telegram.Kept()}
	api, err := telegram.New(telegram.Options{Token: telegram.Secret(set.Token.Reveal()), Address: set.API,
		Transport: watch, Log: log})
	if err != nil {
		return err
	}
	st, err := openStore(ctx, set.Store, true)
	if err != nil {
		return err
	}
	defer st.Close()
	clock, err := keepCommon(ctx, scheduler.RealClock{}, st)
	if err != nil {
		return fmt.Errorf("reading the store's clock: %w", err)
	}
	watch.now = clock.Now
	p, err := build(ctx, parts{store: st, api: api, clock: clock, log: log})
	if err != nil {
		return err
	}
	watch.skewed = func(d time.Duration) {
		p.skew.Store(&d)
		p.runner.SetDoubt(d.Abs() > maxSkew)
	}
	if err := a.loadPractice(ctx, p.runner, words, set.Practice); err != nil {
		return err
	}
	if pr, err := p.practice(ctx); err == nil && pr.Zone == "" {
		return errors.New("no practice is known yet: name its file in DUSKDAWN_PRACTICE; the README says how to begin one")
	}
	log.Info("start", "version", version(), "zones", scheduler.DataVersion(), "languages", len(words.Languages()))
	p.hooked = set.Webhook != ""
	stop, err := p.listen(set.Listen, set.Hook.Reveal())
	if err != nil {
		return err
	}
	defer stop()
	end := p.attend(ctx, health.ManagerOf(a.env))
	defer end()
	log.Info("ready", "address", set.Listen, "webhook", p.hooked)
	if err := p.introduce(ctx); err != nil {
		return err
	}
	if set.Webhook != "" {
		if r := api.SetWebhook(ctx, set.Webhook, telegram.Secret(set.Hook.Reveal())); r.Outcome != telegram.Sent {
			return fmt.Errorf("setting the webhook: %s", r.Class)
		}
		return p.called(ctx)
	}
	if r := api.DropWebhook(ctx); r.Outcome == telegram.Revoked {
		return telegram.ErrRevoked
	}
	return p.poll(ctx, nil)
}

// poll takes updates and runs the flows until the context ends, or the token is
// refused. The intake is drained before the first timer fires: an answer that
// waited counts before the reminder for it. started, where there is one, is
// called in between.
func (p *program) poll(ctx context.Context, started func()) error {
	ctx, cancel := context.WithCancelCause(ctx)
	drained, tried := make(chan struct{}), make(chan struct{})
	var once sync.Once
	var background sync.WaitGroup
	defer background.Wait()
	defer cancel(nil)
	background.Go(func() { p.leader.run(ctx, p, tried) })
	<-tried
	p.poller = p.api.Poller(telegram.PollOptions{
		Handle: p.take, SetAside: p.setAside, May: p.leader.leads,
		Moves: p.beats.poller.Within, OnConflict: p.conflict, OnGap: func(d time.Duration) { p.gap(ctx, d) },
		OnAnswer: func() { p.polled(ctx) },
		OnDrained: func() {
			once.Do(func() { close(drained) })
			background.Go(func() { p.regain(ctx) })
		},
	})
	background.Go(func() {
		defer p.beats.poller.Ended()
		if err := p.poller.Run(ctx); err != nil {
			cancel(fmt.Errorf("taking updates: %w", err))
		}
	})
	background.Go(func() { p.untilRefused(ctx, cancel) })
	drain := p.leader.leads() // otherwise another process takes updates, and this one shares the rest of the work
	p.runner.SetDraining(drain)
	background.Go(func() {
		if drain {
			select {
			case <-drained:
			case <-ctx.Done():
			}
			p.runner.SetDraining(false)
		}
		if started != nil {
			started()
		}
	})
	return p.run(ctx)
}

// untilRefused ends the program where the platform refuses the token for good.
// One who only sends learns it, too.
func (p *program) untilRefused(ctx context.Context, end context.CancelCauseFunc) {
	select {
	case <-p.api.Refused():
		p.log.Error("token revoked")
		end(telegram.ErrRevoked)
	case <-ctx.Done():
	}
}

// recalled is how long the platform waits at the most before it calls again
// with what we did not take.
const recalled = 2 * time.Minute

// called runs the flows while the platform calls us with updates, until the
// context ends. After a time in which no process was there to be called, open
// questions are asked again once what waited at the platform has come.
func (p *program) called(ctx context.Context) error {
	p.gap(ctx, 0)
	ctx, cancel := context.WithCancelCause(ctx)
	var background sync.WaitGroup
	defer background.Wait()
	defer cancel(nil)
	background.Go(func() { p.untilRefused(ctx, cancel) })
	background.Go(func() {
		again, done := p.clock.Now().Add(recalled), false
		for ctx.Err() == nil {
			p.note(ctx, time.Now())
			p.store.Lead(ctx, calledName, calledBy, leaseFor) // best effort: it only keeps a restore from beginning under us
			if now := p.clock.Now(); !done && !now.Before(again) {
				p.regain(ctx)
				done = true
			}
			ready, stop := p.clock.Until(p.clock.Now().Add(polledEvery))
			select {
			case <-ready:
			case <-ctx.Done():
			}
			stop()
		}
	})
	return p.run(ctx)
}

// run runs the flows until the context ends, and says why where something of
// ours ended it.
func (p *program) run(ctx context.Context) error {
	if err := p.runner.Run(ctx); err != nil {
		return err
	}
	if cause := context.Cause(ctx); cause != nil && !errors.Is(cause, context.Canceled) {
		return cause
	}
	return nil
}

// take handles one update; one that comes tells that nobody else polls any more.
func (p *program) take(ctx context.Context, u telegram.Update) error {
	defer p.named("updates")
	p.rival.gone()
	p.metrics.Received(string(u.Kind))
	err := p.in.Handle(ctx, u)
	if errors.Is(err, store.ErrTooLarge) || errors.Is(err, store.ErrKey) { // never fits: nobody else is to wait for it
		return telegram.Unfit{Class: "cannot be kept"}
	}
	if errors.Is(err, store.ErrCorrupt) {
		return telegram.Unfit{Class: "damaged record"}
	}
	return err
}

// conflict is a 409. Whoever is no longer the one to poll yields; where we still
// are, a program that is not ours polls with our token.
// What waits at the platform then goes to that one, so nothing here waits for it
// for ever: red flags are repeated, and staff are told.
func (p *program) conflict() {
	if p.leader.leads() && p.rival.seen() > drainMost {
		p.runner.SetDraining(false)
	}
}

// drainMost is how long the first timer waits for the intake while another
// program polls: longer than one that was just stopped is still seen.
const drainMost = time.Minute

// setAside keeps an update that cannot be read, whole, so that it alone is
// taken out of the row and a person can look at it.
func (p *program) setAside(ctx context.Context, raw json.RawMessage, class string) error {
	p.log.Error("set aside", "class", class)
	p.metrics.SetAside()
	if err := p.store.SetAside(ctx, fmt.Sprintf("%x", sha256.Sum256(raw)), class, raw, p.clock.Now()); err != nil {
		return err
	}
	u, _ := telegram.Decode(raw) // what it gives beside an error is enough
	if err := p.tellAside(ctx, u); err != nil {
		return err
	}
	if u.Private && u.Chat != 0 {
		p.sorry(ctx, u.Chat)
	}
	return nil
}

// tellAside tells staff that a message is set aside, and whose, once a day for
// each patient, and once a day for whoever is none.
func (p *program) tellAside(ctx context.Context, u telegram.Update) error {
	pr, err := p.practice(ctx)
	if err != nil {
		return err
	}
	told := flows.Manage{Op: flows.ManageAside}
	event := fmt.Sprintf("aside/%s", p.runner.Today(pr.Zone))
	if c, err := p.in.Chat(ctx, u.Chat); err == nil && c.Patient != "" && u.Private {
		one, err := p.patient(ctx, c.Patient)
		if errors.Is(err, store.ErrCorrupt) {
			one.Label, err = p.runner.LabelOf(ctx, scheduler.PatientRef(c.Patient)), nil
		}
		if err != nil {
			return err
		}
		told.Label, event = one.Label, event+"/"+string(c.Patient)
	}
	return p.runner.Handle(ctx, scheduler.PracticeRef(), event, told)
}

// sorry tells whoever wrote what is set aside, past the store and best effort:
// it may have been urgent.
func (p *program) sorry(ctx context.Context, chat int64) {
	pr, err := p.practice(ctx)
	if err != nil {
		return
	}
	m := message.Message{Lines: []message.Line{message.Say("aside.sorry", message.ArgS("number", pr.Emergency),
		message.ArgS("phone", pr.Phone))}}
	p.api.Send(ctx, telegram.Message{Chat: chat, Text: p.words.Text(pr.Lang, m)})
}

// leastGap stands for the unknown time before a start: longer than the platform
// keeps a tap, so that questions answered by buttons are asked again.
const leastGap = 3 * time.Minute

// regain puts the talks right after a start or a gap, once what waited at the
// platform is handled: first the timers that came due meanwhile, then whoever
// was asked something that may have been answered in vain. The platform keeps a
// tap for 150 seconds and a message for a day.
func (p *program) regain(ctx context.Context) {
	for fired := 1; fired > 0 && ctx.Err() == nil; {
		var err error
		if fired, _, err = p.runner.FireDue(ctx); err != nil {
			p.log.Error("gap", "class", "store")
			return
		}
	}
	d := time.Duration(p.away.Load())
	if d == 0 {
		return // another process polled until a moment ago
	}
	event := fmt.Sprintf("gap/%d", p.clock.Now().Unix())
	for s, err := range p.store.List(ctx, store.Query{}) {
		if err != nil {
			p.log.Error("gap", "class", "store")
			return
		}
		if s.Chat == 0 {
			continue
		}
		one, err := p.patient(ctx, chart.PatientID(s.Ref.ID))
		if err == nil && (d >= 24*time.Hour || one.Talk.Ask != flows.NoAsk || one.Talk.Nonce != "") {
			err = p.runner.Safely(func() error {
				return p.runner.Handle(ctx, s.Ref, event,
					flows.Gap{Minutes: int32(d / time.Minute)})
			})
		}
		if err != nil {
			p.log.Error("gap", "class", "store")
		}
	}
}

// introduce learns the bot's name, and sets what people see before the first
// message: that the chat is not watched, and the menu of commands.
func (p *program) introduce(ctx context.Context) error {
	_, name, r := p.api.Me(ctx)
	if r.Outcome == telegram.Revoked {
		return telegram.ErrRevoked
	}
	pr, err := p.practice(ctx)
	if err != nil {
		return err
	}
	if name != "" && name != pr.BotName {
		pr.BotName = name
		if err := bringPractice(ctx, p.runner, pr, []byte("name "+name)); err != nil {
			return err
		}
	}
	for _, lang := range p.words.Languages() {
		about := message.Message{Lines: []message.Line{message.Say("bot.about"), message.Say("bot.unwatched")}}
		if pr.Emergency != "" && pr.Phone != "" {
			about.Lines = append(about.Lines, message.Say("bot.call", message.ArgS("emergency", pr.Emergency),
				message.ArgS("phone", pr.Phone)))
		}
		p.api.Description(ctx, lang, p.words.Text(lang, about))
		var menu []telegram.Command // best effort, as the description: help says the same
		for _, c := range []string{"today", "help", "undo", "how", "call", "pause", "stop"} {
			menu = append(menu, telegram.Command{Name: c, Description: p.words.Line(lang, message.Say("bot.menu."+c))})
		}
		p.api.Commands(ctx, 0, lang, menu)
	}
	return nil
}

// rivals notices another program that polls with our token, and when it stopped:
// an update that reaches us, or two minutes without a conflict.
type rivals struct {
	set   func(bool) // called on a change only
	mu    sync.Mutex
	end   *time.Timer
	since time.Time
}

// seen notes a conflict, and gives how long they have gone on.
func (r *rivals) seen() time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.end == nil {
		r.since = time.Now()
		r.set(true)
	} else {
		r.end.Stop()
	}
	r.end = time.AfterFunc(2*time.Minute, r.gone)
	return time.Since(r.since)
}

func (r *rivals) gone() {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.end != nil {
		r.end.Stop()
		r.end = nil
		r.set(false)
	}
}

// setRival stops prompts, or lets them go on, and tells the practice.
func (p *program) setRival(on bool) {
	op := flows.ManageAlone
	if on {
		op = flows.ManageRival
		p.log.Error("another program polls with this token")
	}
	p.runner.SetRival(on)
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	event := fmt.Sprintf("rival/%t/%d", on, p.clock.Now().UnixNano())
	if err := p.runner.Handle(ctx, scheduler.PracticeRef(), event, flows.Manage{Op: op}); err != nil {
		p.log.Error("telling of another program", "class", "store")
	}
}

// dateWatch compares our clock with the platform's, by the date of its answers.
type dateWatch struct {
	next   http.RoundTripper
	now    func() time.Time
	skewed func(time.Duration)
}

func (d *dateWatch) RoundTrip(r *http.Request) (*http.Response, error) {
	res, err := d.next.RoundTrip(r)
	if err == nil && d.skewed != nil {
		if at, err := http.ParseTime(res.Header.Get("Date")); err == nil {
			d.skewed(d.now().Sub(at))
		}
	}
	return res, err
}
