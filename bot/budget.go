package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/desk"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// What a practice asks of the platform's limit. A patient costs about perDay
// messages a day, prompts and answers together; what decides is the hour at
// which most are asked. Every patient is taken to be asked at both hours and to
// answer all of it within answerFor minutes: the worst evening, not the usual.
const (
	perDay    = 15
	turnsMost = 6  // answers to one check-in: the six taps of a morning
	answerFor = 10 // minutes

	waitMost = 10  // minutes a prompt may wait behind answers
	fullFrom = 0.8 // of what is possible: from here on check warns
)

const day = 24 * 60

// budget has the check-ins of a day by the minute of their hour, in UTC.
type budget struct {
	patients int
	hours    [day]float64
	damaged  []store.Ref     // whose record cannot be read
	carded   []flows.Patient // of each no more than the cards that went to staff
}

// load is how a day goes with so many patients.
type load struct {
	window  int     // minutes over which check-ins are spread
	from    int     // the minute of the day at which the busiest window begins
	prompts float64 // that fall due in it
	wait    float64 // minutes that the prompt waits which waits longest
	late    bool    // answers wait longer than a minute
}

// budgetOf reads everybody's hours.
func budgetOf(ctx context.Context, st store.Store, patients []store.Ref, home string, now time.Time) (budget, error) {
	var b budget
	zones := scheduler.NewZones()
	for _, ref := range patients {
		a, err := st.Get(ctx, ref)
		if errors.Is(err, store.ErrNotFound) {
			continue
		}
		var p flows.Patient
		if err == nil {
			p, err = store.DecodePatient(a.Body)
		}
		if errors.Is(err, store.ErrCorrupt) {
			b.damaged = append(b.damaged, ref)
			continue
		}
		if err != nil {
			return b, err
		}
		if len(p.Carded) > 0 {
			b.carded = append(b.carded, flows.Patient{Carded: p.Carded})
		}
		if p.Course.State == chart.Ended || p.Plan.Rev == 0 {
			continue
		}
		name := p.Zone
		if name == "" {
			name = home
		}
		zone, _ := zones.Load(name) // an unknown one reads as UTC, as in the scheduler
		b.patients++
		today := zone.Wall(now).Date
		for _, c := range []civil.Clock{p.Plan.Evening, p.Plan.Morning} {
			at := zone.Instant(civil.Wall{Date: today, Clock: c}).UTC()
			b.hours[at.Hour()*60+at.Minute()]++
		}
	}
	return b, nil
}

// with runs a day of so many patients with hours like these, minute by minute:
// answers first, prompts with what is left.
func (b *budget) with(patients int) load {
	l := load{window: max(scheduler.Window(patients), 1)}
	var due [day]float64
	for m, n := range b.hours {
		for i := range l.window {
			due[(m+i)%day] += n * float64(patients) / float64(b.patients) / float64(l.window)
		}
	}
	for m := range due {
		sum := 0.0
		for i := range l.window {
			sum += due[(m+i)%day]
		}
		if sum > l.prompts+1e-6 {
			l.prompts, l.from = sum, m
		}
	}
	const rate = 60 * store.BulkPerSecond
	var prompts, answers float64
	var coming [answerFor]float64 // answers by the minutes ahead
	for m := range 2 * day {      // the second day finds what the first left
		answers += coming[m%answerFor]
		coming[m%answerFor] = 0
		room := float64(rate)
		done := min(answers, room)
		answers, room = answers-done, room-done
		l.late = l.late || answers > 0
		prompts += due[m%day]
		done = min(prompts, room)
		prompts -= done
		if prompts > 0 {
			l.wait = max(l.wait, prompts/max(room, 1))
		}
		for i := range coming {
			coming[(m+1+i)%answerFor] += done * turnsMost / answerFor
		}
	}
	return l
}

// fits reports whether a day goes well with so many patients.
func (b *budget) fits(patients int) bool {
	l := b.with(patients)
	return !l.late && l.wait <= waitMost && patients*perDay <= 86400*store.BulkPerSecond
}

// most is about how many patients with hours like these one bot can serve.
func (b *budget) most() int {
	low, high := 0, 86400*store.BulkPerSecond/perDay+1
	for high-low > 1 {
		if mid := (low + high) / 2; b.fits(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// tell says it in the words of check.
func (b *budget) tell(say func(bool, string, ...any)) {
	if b.patients == 0 {
		say(true, "messages: nobody is asked yet; one bot may send %d a day", 86400*store.BulkPerSecond)
		return
	}
	l, most := b.with(b.patients), b.most()
	clock := func(m int) string { return civil.Clock(m % day).String() }
	say(true, "messages: %d patients, about %d a day of the %d that one bot may send", b.patients, b.patients*perDay,
		86400*store.BulkPerSecond)
	say(b.fits(b.patients), "check-ins: most fall due from %s to %s UTC, %.0f prompts, %.0f seconds to send; answers first, a prompt waits %.0f minutes at the most",
		clock(l.from), clock(l.from+l.window), l.prompts, math.Ceil(l.prompts/float64(store.BulkPerSecond)),
		math.Ceil(l.wait))
	say(float64(b.patients) < fullFrom*float64(most),
		"one bot serves about %d patients with hours like these; more than one bot, or other hours, is the way past it", most)
}

// cardsMost is how many cards below class S a working day one person can carry
// beside the digest: a proposal.
const cardsMost = 15

// tellDesk says what the desk cost each person of the practice in the last seven days.
func (b *budget) tellDesk(pr *practice.Practice, today civil.Date, say func(bool, string, ...any)) {
	for _, d := range desk.Duties(pr, b.carded, today-6, today) {
		most := ""
		for _, c := range d.Reasons[:min(len(d.Reasons), 4)] {
			most += fmt.Sprintf(", %d %s", c.N, c.Reason)
		}
		say(d.Tenths() <= 10*cardsMost, "desk: %s had %d.%d cards a working day of the %d that one person can carry, and %d rings of E and S, in seven days%s",
			d.Who.Label, d.Tenths()/10, d.Tenths()%10, cardsMost, d.Urgent, most)
	}
}
