package stage

import (
	"container/heap"
	"fmt"
	"iter"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/cohort"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/scheduler"
	"duskdawn/store/memory"
)

// town is a practice whose patients are the virtual ones: each lives its own
// nights and types into its own chat, all of them on one clock, through the
// whole program. Staff do what the model's staff do.
type town struct {
	*Scene
	tb     testing.TB
	people []*villager

	happened func(who *villager, o *flows.Order) // after each message, order and wait; nil for no order
}

// villager is one of them. It runs until it waits for a later time.
type villager struct {
	town  *town
	n     int
	user  int64
	id    chart.PatientID
	typed int
	due   civil.Wall
	next  func() (civil.Wall, bool)
	yield func(civil.Wall) bool
}

// townOf brings so many in, over so many weeks, until a number of nights after
// the first. Says is what they type once a week.
func townOf(tb testing.TB, many, weeks, nights int, says func(int, *cohort.Lived) *cohort.Sentence) *town {
	tb.Helper()
	g, err := Open(tb.Context(), instant(civil.Wall{Date: cohort.Monday(), Clock: 12 * 60}), program.Parts{Store: memory.New(), Free: true})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(g.Close)
	t := &town{Scene: &Scene{Stage: g, free: true}, tb: tb}
	hours := "\n[hours]\n"
	for _, day := range []string{"mon", "tue", "wed", "thu", "fri"} {
		hours += day + " = [\"09:00-17:00\"]\n"
	}
	raw, err := Scenario.ReadFile("scenario/practice.toml")
	if err != nil {
		tb.Fatal(err)
	}
	head, _, _ := strings.Cut(string(raw), "[hours]")
	t.staffedAs(tb, With([]byte(head+hours), map[string]string{"zone": "UTC"}))
	for n := range many {
		later := 7 * (n % weeks)
		v := &villager{town: t, n: n, user: userCrowd + int64(n), due: civil.Wall{Date: cohort.Monday() + civil.Date(later), Clock: 14 * 60}}
		tr := &cohort.Trial{Plan: cohort.Usual(), Nights: nights - later, Later: later, Seed: 20261129, Elsewhere: v, Says: says}
		v.next, _ = iter.Pull(func(yield func(civil.Wall) bool) {
			v.yield = yield
			tr.Player().Live(n)
		})
		t.people = append(t.people, v)
	}
	return t
}

func instant(w civil.Wall) time.Time { return w.Date.Time().Add(time.Duration(w.Clock) * time.Minute) }

func (s *Scene) staffedAs(tb testing.TB, raw []byte) {
	tb.Helper()
	pr, faults := setup.Practice(raw, s.Words.Languages())
	if setup.Refused(faults) {
		tb.Fatal(faults)
	}
	if err := s.practised(tb.Context(), pr, raw); err != nil {
		tb.Fatal(err)
	}
}

// live plays all of them, the earliest first.
func (t *town) live() {
	q := queue(t.people)
	heap.Init(&q)
	for q.Len() > 0 {
		v := q[0]
		if at := instant(v.due); at.After(t.Hands.Now()) {
			t.must(t.Move(t.tb.Context(), at))
		}
		if due, more := v.next(); more {
			v.due = due
			heap.Fix(&q, 0)
			continue
		}
		heap.Pop(&q)
	}
}

func (t *town) must(err error) {
	if err != nil {
		panic(fmt.Errorf("%s: %w", t.Hands.Now().Format("Mon 2 Jan 15:04"), err)) // in a villager's own course a test cannot be ended
	}
}

type queue []*villager

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	a, b := q[i].due, q[j].due
	if a == b {
		return q[i].n < q[j].n
	}
	return a.Date < b.Date || a.Date == b.Date && a.Clock < b.Clock
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*villager)) }
func (q *queue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}

// Enrol joins by the code, agrees, and is confirmed.
func (v *villager) Enrol(e chart.Enrolment) {
	t := v.town
	e.Label, e.Zone = fmt.Sprintf("%s-%03d", birds[v.n%len(birds)], v.n+1), "UTC"
	ctx := t.tb.Context()
	t.must(t.Admit(ctx, &Persona{User: v.user, Lang: e.Lang}, e))
	c, err := t.Inbound.Chat(ctx, v.user)
	t.must(err)
	v.id = c.Patient
}

func (v *villager) Until(w civil.Wall) {
	if now := v.town.Hands.Now(); instant(w).After(now) {
		v.yield(w)
		v.town.happened(v, nil)
	}
}

func (v *villager) Patient() *flows.Patient {
	p, err := v.town.Patient(v.town.tb.Context(), v.id)
	v.town.must(err)
	return &p
}

// Do types it, or gives the order.
func (v *villager) Do(b flows.Body) {
	t := v.town
	ctx := t.tb.Context()
	switch b := b.(type) {
	case flows.Said:
		for _, text := range v.words(&b) {
			_, err := t.Platform.Post(standin.Post{Chat: v.user, From: v.user, Text: text})
			t.must(err)
			t.must(t.Quiet(ctx))
			t.happened(v, nil)
		}
	case flows.Order:
		v.typed++
		b.Actor = flows.Actor{ID: t.Doctor.ID, Name: t.Doctor.Label, Chat: t.Doctor.Chat, Role: t.Doctor.Role}
		b.Chat = t.Doctor.Chat
		t.must(t.Runner.Handle(ctx, scheduler.PatientRef(v.id), fmt.Sprintf("town/%d/%d", v.n, v.typed), b))
		t.must(t.Quiet(ctx))
		t.happened(v, &b)
	default:
		t.must(fmt.Errorf("a patient does %T", b))
	}
}

// words are what it types: what stands on the buttons, one answer after another, or
// something of its own.
func (v *villager) words(s *flows.Said) (out []string) {
	switch {
	case s.Text != "-":
		return []string{s.Text}
	case s.Reading.Word != reading.NoWord:
		return []string{v.town.Words.Label("en", message.Choice{Word: s.Reading.Word})}
	case s.Reading.Features != 0:
		text := amiss[s.Reading.Features]
		if text == "" {
			v.town.must(fmt.Errorf("no words for the features %b", s.Reading.Features))
		}
		return []string{text}
	}
	for _, t := range s.Reading.Tokens {
		out = append(out, v.town.Words.Label("en", message.Choice{Field: t.Field, Value: t.Value}))
	}
	return []string{strings.Join(out, ", ")}
}

// amiss are words for what the model's patients have on their minds.
var amiss = map[reading.Features]string{
	reading.FBreath:                          "I can't breathe",
	reading.FChest:                           "I have chest pain",
	reading.FFaint:                           "I fainted just now",
	reading.FSwallowed:                       "I swallowed a piece of the appliance",
	reading.FChoke:                           "I am choking",
	reading.FSwelling | reading.FMouthFace:   "my face is swollen",
	reading.FBleeding | reading.FNotStopping: "the bleeding does not stop",
	reading.FStroke:                          "my face droops on one side",
	reading.FSelfHarm:                        "I want to kill myself",
	reading.FSeizure:                         "I had a seizure",
	reading.FChild:                           "my child swallowed a piece of it",
	reading.FSore:                            "my gum is sore where it rubs",
	reading.FSeat:                            "the appliance is loose and falls out",
	reading.FBroken:                          "the appliance broke",
	reading.FTooth:                           "one tooth hurts",
	reading.FCatch:                           "my jaw catches when I open",
	reading.FBiteOff:                         "my bite has changed",
	reading.FLipSeal:                         "I could not breathe with the lip seal",
	reading.FLost:                            "I lost the appliance",
}
