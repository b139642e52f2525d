package scheduler

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/store"
)

// practiceFor is how long a read of the practice is trusted where another
// process may have changed it.
const practiceFor = time.Second

// Handle takes one event for one aggregate and commits what follows. An event
// that was committed before is no error: nothing happens twice.
func (r *Runner) Handle(ctx context.Context, ref store.Ref, event string, body flows.Body) error {
	r.enter()
	defer r.leave()
	if e, ok := body.(flows.Enrol); ok {
		if taken, err := r.LabelTaken(ctx, chart.PatientID(ref.ID), e.Enrolment.Label); err != nil {
			return err
		} else if taken {
			return r.Handle(ctx, ChatRef(e.Chat), event+"/taken", flows.LabelTaken{Label: e.Enrolment.Label})
		}
	}
	pr, err := r.Practice(ctx)
	if err != nil {
		return err
	}
	e := flows.Event{ID: event, At: r.clock.Now(), Seed: seed(), Doubt: r.doubt.Load(), Body: body}
	e.Office = r.wall(pr.Zone, e.At)
	if s, ok := body.(flows.Settings); ok {
		e.Office = r.wall(s.Practice.Zone, e.At) // the first settings name the zone
	}
	slots := r.hands()
	var done, got turnout // got may be of a run that is not the last
	defer func() { r.handOver(ctx, slots, e.At, done.change) }()
	err = r.store.Update(ctx, ref, event, e.At, func(a store.Aggregate) (store.Change, error) {
		next, err := r.next(ref, a, &pr, e)
		if slots > 0 && len(next.change.Out) > 0 {
			next.change.Hand = &store.Handoff{N: slots, Most: min(r.most(), store.LaneReply), Hold: leaseHold}
		}
		got = next
		return next.change, err
	})
	if err == nil {
		done = got
	}
	if ref.Kind == store.Practice {
		r.forgetPractice()
	}
	switch {
	case errors.Is(err, store.ErrSeen):
		r.Stats.Seen.Add(1)
		if strings.HasPrefix(event, "u/") { // of the platform
			r.Stats.Again.Add(1)
		}
		r.Wake() // its commit may be one whose answer we never had
		return nil
	case err != nil:
		return r.damaged(ctx, ref, fmt.Errorf("handling %s: %w", store.KindOf(body), err))
	}
	r.Stats.Handled.Add(1)
	r.Stats.add(&done.tally)
	if done.patient != nil {
		r.known.keep(ref, done.body, done.patient)
	}
	return nil
}

// turnout is what an event came to.
type turnout struct {
	change  store.Change
	tally   tally
	patient *flows.Patient // as committed; nil for the other aggregates
	body    []byte         // its stored form
}

// next runs one event through the flow of whatever it is for.
func (r *Runner) next(ref store.Ref, a store.Aggregate, pr *practice.Practice, e flows.Event) (t turnout, err error) {
	switch ref.Kind {
	case store.Patient:
		return r.nextPatient(ref, a, pr, e)
	case store.Chat:
		t.change, err = r.nextChat(ref, a, pr, e)
		return t, err
	case store.Practice:
		t.change, err = r.nextPractice(ref, a, e)
		return t, err
	}
	return t, fmt.Errorf("handling an event for %c: %w", ref.Kind, store.ErrNotFound)
}

// nextPatient runs one event through the patient's flow.
func (r *Runner) nextPatient(ref store.Ref, a store.Aggregate, pr *practice.Practice, e flows.Event) (turnout, error) {
	before, err := r.known.read(ref, a)
	if err != nil {
		return turnout{}, err
	}
	next := new(flows.Patient)
	*next = *before
	zone := next.Zone
	if en, ok := e.Body.(flows.Enrol); ok && next.ID == "" {
		next.ID, zone = chart.PatientID(ref.ID), en.Enrolment.Zone
	}
	if zone == "" {
		zone = pr.Zone
	}
	e.Wall = r.wall(zone, e.At)
	if s, ok := e.Body.(flows.Said); ok && !s.Sent.IsZero() {
		s.Wall = r.wall(zone, s.Sent)
		e.Body = s
	}
	fx := r.logic.Patient(pr, next, &e)
	if next.ID == "" { // an event for somebody who was never enrolled
		return turnout{}, nil
	}
	next.ID = chart.PatientID(ref.ID)
	body, err := store.EncodePatient(next)
	if err != nil {
		return turnout{}, err
	}
	if next.Zone != "" {
		zone = next.Zone
	}
	sum := r.summary(next)
	c := store.Change{Body: body, Summary: &sum}
	if bytes.Equal(body, a.Body) {
		c.Body = nil // a question that was answered changes nothing but the journal
	}
	w := &writer{r: r, ref: ref, e: e, zone: zone, office: pr.Zone, lang: next.Lang, chat: next.Chat, c: &c}
	if err := w.effects(fx); err != nil {
		return turnout{}, err
	}
	done := turnout{tally: tallyOf(before, next, &e, c.Out), patient: next, body: body}
	actor, role := "patient", ""
	switch b := e.Body.(type) {
	case flows.Order:
		actor, role = b.Actor.ID, b.Actor.Role.String()
	case flows.Enrol:
		actor, role = b.Actor.ID, b.Actor.Role.String()
	case flows.Due, flows.Missed, flows.Delivered, flows.Gap, flows.Restored, flows.Bounce:
		actor = "bot"
	}
	err = w.journal(actor, role, pr, next.Plan.Rev)
	done.change = c
	return done, err
}

// nextChat runs one event through a chat's own flow.
func (r *Runner) nextChat(ref store.Ref, a store.Aggregate, pr *practice.Practice, e flows.Event) (store.Change,
	error) {
	e.Wall = e.Office
	body, lang, fx, err := r.logic.Chat(*pr, chatOf(ref), a.Body, e)
	if err != nil {
		return store.Change{}, err
	}
	c := store.Change{Body: body}
	w := &writer{r: r, ref: ref, e: e, zone: pr.Zone, office: pr.Zone, lang: lang, chat: chatOf(ref), c: &c}
	if err := w.effects(fx); err != nil {
		return store.Change{}, err
	}
	if len(w.logs) == 0 {
		return c, nil // what a stranger types is not kept
	}
	s, _ := pr.ByChat(chatOf(ref))
	return c, w.journal(s.ID, s.Role.String(), pr, 0)
}

// nextPractice runs one event through the practice.
func (r *Runner) nextPractice(ref store.Ref, a store.Aggregate, e flows.Event) (store.Change, error) {
	var pr practice.Practice
	if len(a.Body) > 0 {
		if err := store.Decode(a.Body, &pr); err != nil {
			return store.Change{}, fmt.Errorf("the practice: %w", err)
		}
	}
	pr.Rev = a.Rev
	e.Wall = e.Office
	next, fx := r.logic.Practice(pr, e)
	body, err := store.Encode(next)
	if err != nil {
		return store.Change{}, err
	}
	c := store.Change{Body: body}
	w := &writer{r: r, ref: ref, e: e, zone: next.Zone, office: next.Zone, lang: next.Lang, c: &c}
	if err := w.effects(fx); err != nil {
		return store.Change{}, err
	}
	return c, w.journal("owner", practice.Owner.String(), &pr, 0)
}

// Practice returns the practice as it stands, a second old at the most.
func (r *Runner) Practice(ctx context.Context) (practice.Practice, error) {
	r.practice.Lock()
	defer r.practice.Unlock()
	if r.practice.known && time.Since(r.practice.at) < practiceFor {
		return r.withRival(r.practice.value), nil
	}
	a, err := r.store.Get(ctx, PracticeRef())
	if err != nil && !errors.Is(err, store.ErrNotFound) {
		return practice.Practice{}, fmt.Errorf("reading the practice: %w", err)
	}
	var pr practice.Practice
	if len(a.Body) > 0 {
		if err := store.Decode(a.Body, &pr); err != nil {
			return practice.Practice{}, fmt.Errorf("the practice: %w", err)
		}
	}
	pr.Rev = a.Rev
	r.practice.value, r.practice.known, r.practice.at = pr, true, time.Now()
	r.frozen.Store(pr.Frozen())
	r.told.Store(pr.Rival)
	return r.withRival(pr), nil
}

func (r *Runner) withRival(pr practice.Practice) practice.Practice {
	pr.Rival = pr.Rival || r.rival.Load()
	return pr
}

func (r *Runner) forgetPractice() {
	r.practice.Lock()
	r.practice.known = false
	r.practice.Unlock()
}

// StaffKey is the keyed hash of a staff code, as the practice keeps it.
func (r *Runner) StaffKey(code string) string { return keyed(r.secret, "staff", code) }

// Today is the date on a zone's calendar now.
func (r *Runner) Today(zone string) civil.Date { return r.wall(zone, r.clock.Now()).Date }

// OffDuty names the people whom the rota names, and none of whose shifts runs now.
func (r *Runner) OffDuty(pr practice.Practice) (off []string) {
	on := map[string]bool{}
	now := r.wall(pr.Zone, r.clock.Now())
	for _, s := range pr.Rota {
		from, err1 := ParseRota(s.From)
		to, err2 := ParseRota(s.To)
		on[s.Staff] = on[s.Staff] || err1 == nil && err2 == nil && OnDuty(from, to, now)
	}
	for who, is := range on {
		if !is {
			off = append(off, who)
		}
	}
	slices.Sort(off)
	return off
}

// zone loads a zone; an unknown one reads as UTC.
func (r *Runner) zone(name string) Zone {
	z, _ := r.zones.Load(name)
	return z
}

// cron is the next wall time of a line of the rota.
func (r *Runner) cron(line string, w civil.Wall) (civil.Wall, bool) {
	rota, err := ParseRota(line)
	if err != nil {
		return civil.Wall{}, false
	}
	return rota.NextWall(w)
}

// wall is a zone's wall time of an instant.
func (r *Runner) wall(zone string, t time.Time) civil.Wall { return r.zone(zone).Wall(t) }
