package siege

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/desk"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// snapshot is an aggregate with the length of its journal and diary.
type snapshot struct {
	body    []byte
	rev     int64
	records []store.Record
	rows    int
}

func (g *Siege) look(ref store.Ref) (s snapshot) {
	ctx := context.Background()
	a, err := g.store.Get(ctx, ref)
	if err != nil {
		g.t.Fatal(err)
	}
	s.body, s.rev = a.Body, a.Rev
	for r, err := range g.store.Journal(ctx, ref) {
		if err != nil {
			g.t.Fatal(err)
		}
		s.records = append(s.records, r)
	}
	if err := store.Verify(s.records); err != nil {
		g.t.Errorf("%v: %v", ref, err)
	}
	for _, err := range g.store.Diary(ctx, ref) {
		if err != nil {
			g.t.Fatal(err)
		}
		s.rows++
	}
	return s
}

// count holds the store and the chats against what was said and what was due.
func (g *Siege) count() {
	t := g.t
	lost, twice, missed, doubled, flags, flagsMissed, asked := 0, 0, 0, 0, 0, 0, 0
	all := g.all()
	for _, s := range all {
		if !g.stored(s) {
			lost++
			t.Errorf("lost: update %d of %d, said at %v", s.update, s.user, s.at)
		}
	}
	shown := map[string]int{} // texts that the store says were sent
	practices := g.practices(shown)
	for _, one := range g.people {
		now := g.look(one.ref)
		twice += g.refold(one, now, practices, shown)
		told := g.platform.Messages(one.User)
		if one.kind == waits {
			asked++
			switch n := prompts(told, one.due); {
			case n == 0:
				missed++
				t.Errorf("%s was not asked", one.Label)
			case n > 1:
				doubled++
			}
		}
		f, m := g.flagged(one, told)
		flags, flagsMissed = flags+f, flagsMissed+m
	}
	for _, user := range g.staff {
		for _, r := range g.look(scheduler.ChatRef(user)).records {
			tally(shown, r)
		}
	}
	again := g.doubts(shown)
	t.Logf("replies written %d, kills %d, redelivered %d, lost %d, acknowledged too early %d, applied twice %d; prompts due %d, missed %d, sent twice %d; messages sent again in doubt %d; red flags %d, missed %d",
		len(all), len(g.kills), g.platform.Redelivered(), lost, g.early.Load(), twice, asked, missed, doubled, again,
		flags, flagsMissed)
	if len(g.kills) < g.fewest.kills || len(all) < 50 || asked == 0 || flags == 0 ||
		g.platform.Redelivered() < g.fewest.redelivered {
		t.Error("too little happened to prove anything")
	}
	if logs := g.logs.Bytes(); bytes.Contains(logs, []byte(standin.Token)) || bytes.Contains(logs, []byte("breathe")) ||
		bytes.Contains(logs, []byte("word of my own")) {
		t.Error("a log holds the token or what a patient wrote")
	}
}

// tally counts the text of a record that keeps what was shown.
func tally(shown map[string]int, r store.Record) {
	if r.What == store.WhatShown {
		shown[string(r.Body)]++
	}
}

// journaled is an event as the journal keeps it.
type journaled struct {
	Body   []byte     `cbor:"1,keyasint"`
	Wall   civil.Wall `cbor:"2,keyasint"`
	Office civil.Wall `cbor:"3,keyasint"`
	Seed   []byte     `cbor:"4,keyasint"`
	Doubt  bool       `cbor:"5,keyasint,omitempty"`
}

func (g *Siege) event(r store.Record) flows.Event {
	var j journaled
	if err := store.Decode(r.Body, &j); err != nil {
		g.t.Fatalf("record %d, %s: %v", r.Seq, r.What, err)
	}
	body, err := store.DecodeBody(j.Body)
	if err != nil {
		g.t.Fatalf("record %d, %s: %v", r.Seq, r.What, err)
	}
	return flows.Event{ID: r.Event, At: r.At, Wall: j.Wall, Office: j.Office, Seed: [16]byte(j.Seed), Doubt: j.Doubt,
		Body: body}
}

// practices runs the practice's journal again: the practice at each revision.
func (g *Siege) practices(shown map[string]int) map[int64]practice.Practice {
	now := g.look(scheduler.PracticeRef())
	var pr practice.Practice
	out := map[int64]practice.Practice{}
	for _, r := range now.records {
		if r.What == store.WhatShown {
			tally(shown, r)
			continue
		}
		pr.Rev = r.Practice
		e := g.event(r)
		pr, _ = desk.NextPractice(pr, e)
		pr.Rev = r.Practice + 1
		out[pr.Rev] = pr
	}
	return out
}

// refold runs a patient's journal again from where the siege began: the state
// and the diary in the store must be what follows from each event once. It
// gives how many events were applied twice.
func (g *Siege) refold(one *soul, now snapshot, practices map[int64]practice.Practice,
	shown map[string]int) (twice int) {
	p, err := store.DecodePatient(one.was.body)
	if err != nil {
		g.t.Fatal(err)
	}
	seen, rows := map[string]int{}, one.was.rows
	for i, r := range now.records {
		if r.What == store.WhatShown {
			tally(shown, r)
			if seen["shown "+r.Event]++; seen["shown "+r.Event] > 1 {
				g.t.Errorf("%s: one message settled as sent twice", one.Label)
			}
			continue
		}
		if seen[r.Event]++; seen[r.Event] > 1 {
			twice++
			g.t.Errorf("%s: %s is in the journal twice", one.Label, r.Event)
		}
		if i < len(one.was.records) {
			continue
		}
		pr, ok := practices[r.Practice]
		if !ok {
			g.t.Fatalf("%s: no practice of revision %d", one.Label, r.Practice)
		}
		var fx []flows.Effect
		p, fx = flows.Next(pr, p, g.event(r))
		for _, x := range fx {
			if _, ok := x.(flows.Note); ok {
				rows++
			}
		}
	}
	body, err := store.EncodePatient(&p)
	if err != nil {
		g.t.Fatal(err)
	}
	if !bytes.Equal(body, now.body) {
		twice++
		g.t.Errorf("%s: the stored patient is not what follows from the journal", one.Label)
	}
	if rows != now.rows {
		twice++
		g.t.Errorf("%s: %d diary rows, %d follow from the journal", one.Label, now.rows, rows)
	}
	return twice
}

// flagged counts a patient's red flags, and those after which the patient was
// not told the emergency number or staff were not told of the patient.
func (g *Siege) flagged(one *soul, told []standin.Message) (flags, missed int) {
	for _, s := range g.all() {
		if !s.flag || s.user != one.User {
			continue
		}
		flags++
		after := func(m standin.Message, what string) bool {
			return m.Bot && !m.At.Before(s.at.Add(-time.Millisecond)) && strings.Contains(m.Text, what)
		}
		if i := slices.IndexFunc(told, func(m standin.Message) bool { return after(m, "911") }); i < 0 {
			missed++
			g.t.Errorf("%s wrote a red flag and was not told the emergency number", one.Label)
		} else {
			g.slowest = max(g.slowest, told[i].At.Sub(s.at))
		}
		reached := false
		for _, user := range g.staff {
			reached = reached || slices.ContainsFunc(g.platform.Messages(user), func(m standin.Message) bool {
				return m.Bot &&
					strings.Contains(m.Text, one.Label)
			})
		}
		if !reached {
			missed++
			g.t.Errorf("%s wrote a red flag and staff do not know", one.Label)
		}
	}
	if flags > 0 {
		p, err := store.DecodePatient(g.look(one.ref).body)
		if err != nil {
			g.t.Fatal(err)
		}
		if !slices.ContainsFunc(p.Escalations, func(e flows.Escalation) bool { return e.Class == redflag.ClassE }) {
			missed++
			g.t.Errorf("%s wrote a red flag and no escalation is open", one.Label)
		}
	}
	return flags, missed
}

// doubts compares what arrived with what the store says was sent: nothing may
// be missing but what was left in doubt, and what arrived again must have been in
// doubt, its first copy sent just before a kill, or while answers were cut.
func (g *Siege) doubts(shown map[string]int) (again int) {
	copies := map[string][]time.Time{}
	edits := map[string]bool{} // texts of cards that were changed; a change that changes nothing is settled as sent, too
	count := func(user int64) {
		for _, m := range g.platform.Messages(user) {
			if !m.Bot {
				continue
			}
			for _, text := range m.Past {
				text, _, _ := locales.Mask(text) // as the journal keeps it
				copies[text], edits[text] = append(copies[text], m.At), true
			}
			at := m.At
			text, _, _ := locales.Mask(m.Text)
			if !m.Edited.IsZero() {
				at, edits[text] = m.Edited, true
			}
			copies[text] = append(copies[text], at)
		}
	}
	for _, one := range g.people {
		count(one.User)
	}
	for _, user := range g.staff {
		count(user)
	}
	unsure := 0 // settled as in doubt, for good: whether it arrived nobody knows
	for _, err := range g.store.Doubtful(context.Background()) {
		if err != nil {
			g.t.Fatal(err)
		}
		unsure++
	}
	for text, n := range shown {
		if edits[text] {
			continue
		}
		if unsure -= max(0, n-len(copies[text])); unsure < 0 {
			g.t.Errorf("%d times settled as sent, and arrived %d times: %.60q", n, len(copies[text]), text)
		}
	}
	moments := slices.Concat(g.kills, g.doubtful)
	for text, at := range copies {
		surplus := len(at) - shown[text]
		if surplus <= 0 {
			continue
		}
		again += surplus
		near := 0
		for _, a := range at {
			if slices.ContainsFunc(moments, func(k time.Time) bool { return !k.Before(a) && k.Sub(a) < inDoubt }) {
				near++
			}
		}
		if near < surplus {
			g.t.Errorf("sent again without a kill: %d copies of %.60q, %d sent", len(at), text, shown[text])
		}
	}
	return again
}

// inDoubt is how long after it was sent a message may not be settled yet, on a
// machine that is busy.
const inDoubt = 3 * time.Second
