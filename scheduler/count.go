package scheduler

import (
	"maps"
	"slices"
	"sync"
	"sync/atomic"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/redflag"
	"duskdawn/store"
)

// Classes are the classes of escalations in the order in which Stats counts them.
var Classes = [...]redflag.Class{redflag.ClassE, redflag.ClassS, redflag.ClassN, redflag.ClassR}

// Bounds are the upper ends of the buckets of a Histogram, in seconds: fine
// where a send lies, and named after the deadlines where a person's work does.
var Bounds = [...]float64{0.01, 0.05, 0.1, 0.5, 1, 5, 30, 60, 300, 900, 3600, 4 * 3600, 24 * 3600}

// Histogram counts durations. The zero value is ready.
type Histogram struct {
	counts [len(Bounds) + 1]atomic.Int64
	millis atomic.Int64
}

// Observe counts one duration, in seconds.
func (h *Histogram) Observe(seconds float64) {
	i, _ := slices.BinarySearch(Bounds[:], seconds)
	h.counts[i].Add(1)
	h.millis.Add(int64(seconds * 1000))
}

// Read gives how many were counted, their sum in seconds, and how many lie at
// or under each bound.
func (h *Histogram) Read() (n uint64, sum float64, under map[float64]uint64) {
	under = make(map[float64]uint64, len(Bounds))
	for i, b := range Bounds {
		n += uint64(h.counts[i].Load())
		under[b] = n
	}
	return n + uint64(h.counts[len(Bounds)].Load()), float64(h.millis.Load()) / 1000, under
}

// Cards counts cards that went to people. The zero value is ready.
type Cards struct {
	mu sync.Mutex
	n  map[CardOf]int64
}

// CardOf is what a card was about: its reason, and whether that is of class E or S.
type CardOf struct {
	Reason string
	Urgent bool
}

// Add counts some.
func (c *Cards) Add(x flows.Carded) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.n == nil {
		c.n = map[CardOf]int64{}
	}
	c.n[CardOf{x.Reason, x.Urgent}] += int64(x.N)
}

// Read gives a copy of the counts.
func (c *Cards) Read() map[CardOf]int64 {
	c.mu.Lock()
	defer c.mu.Unlock()
	return maps.Clone(c.n)
}

// tally is what one commit for a patient did. It is worked out inside the
// commit's function, which may run more than once, and counted after it.
type tally struct {
	prompts      int
	answered     flows.CheckIn
	silent, late bool
	advice       chart.Advice // number 0 for none
	raised       []redflag.Class
	taken        []taken
	carded       []flows.Carded // by how many cards more
}

type taken struct {
	class   redflag.Class
	seconds int64
}

// tallyOf compares a patient before and after an event, and looks at what it ordered.
func tallyOf(before, after *flows.Patient, e *flows.Event, out []store.Item) (t tally) {
	for i := range out {
		if out[i].Lane == store.LanePrompt {
			t.prompts++
		}
	}
	switch b := e.Body.(type) {
	case flows.Said, flows.Tap:
		if was := before.Talk.CheckIn; was != after.Talk.CheckIn {
			t.answered = was
		}
	case flows.Missed:
		t.late = b.Key == "prompt" || b.Key == "advice"
	}
	t.silent = after.Talk.Silent > before.Talk.Silent
	if after.Course.Advice.Number > before.Course.Advice.Number {
		t.advice = after.Course.Advice
	}
	for _, now := range after.Escalations {
		i := slices.IndexFunc(before.Escalations, func(was flows.Escalation) bool { return was.N == now.N })
		if i < 0 {
			t.raised = append(t.raised, now.Class)
		}
		if now.AckBy != "" && (i < 0 || before.Escalations[i].AckBy == "") {
			t.taken = append(t.taken, taken{now.Class, now.AckAt - now.RaisedAt})
		}
	}
	for _, c := range after.Carded {
		for _, was := range before.Carded {
			if was.Day == c.Day && was.Who == c.Who && was.Reason == c.Reason && was.Urgent == c.Urgent {
				c.N -= was.N
			}
		}
		if c.N > 0 {
			t.carded = append(t.carded, c)
		}
	}
	for _, was := range before.Escalations { // resolved at once: whoever did that took it
		if was.AckBy == "" && !slices.ContainsFunc(after.Escalations,
			func(now flows.Escalation) bool { return now.N == was.N }) {
			t.taken = append(t.taken, taken{was.Class, e.At.Unix() - was.RaisedAt})
		}
	}
	return t
}

// add counts what a commit did.
func (s *Stats) add(t *tally) {
	s.Prompts.Add(int64(t.prompts))
	if t.answered != flows.NoCheckIn {
		count(s.Answered[:], int(t.answered))
	}
	if t.silent {
		s.Silent.Add(1)
	}
	if t.late {
		s.Late.Add(1)
	}
	if a := &t.advice; a.Number > 0 {
		count(s.Advice[:], int(a.Action))
		if a.Action != chart.Forward {
			count(s.Held[:], int(a.Rule))
		}
		if a.Breach {
			s.Breach.Add(1)
		}
	}
	for _, c := range t.raised {
		count(s.Raised[:], slices.Index(Classes[:], c))
	}
	for _, c := range t.carded {
		s.Cards.Add(c)
	}
	for _, took := range t.taken {
		if i := slices.Index(Classes[:], took.class); i >= 0 {
			s.Taken[i].Observe(float64(max(took.seconds, 0)))
		}
	}
}

// count adds one, where there is such a place: a body may have been written by another version.
func count(of []atomic.Int64, i int) {
	if i >= 0 && i < len(of) {
		of[i].Add(1)
	}
}
