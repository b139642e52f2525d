package scheduler

import (
	"fmt"
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/store"
)

// More is answered than the platform takes, for longer than bulk may be passed
// over: until then no prompt goes out, from then on every second place is
// theirs until all are gone, and a red flag waits for neither.
func TestBulkIsNotPassedOverForEver(t *testing.T) {
	g := newRig(t)
	g.patience = 10 * time.Second
	begun, n := g.clock.Now(), 0
	sent := map[string][]time.Duration{}
	g.answer = func(it store.Item) Result {
		sent[it.Key] = append(sent[it.Key], g.clock.Now().Sub(begun))
		return Result{Outcome: store.Sent}
	}
	order := func(key string, lane store.Lane, many int) {
		for range many {
			n++
			ref := PatientRef(chart.PatientID(fmt.Sprintf("%02d%d", n%store.Shards, n)))
			err := g.st.Update(t.Context(), ref, "e", g.clock.Now(), func(store.Aggregate) (store.Change, error) {
				return store.Change{Out: []store.Item{{ID: ref.ID, Queue: fmt.Sprint(n), Lane: lane, Key: key, Body: []byte{1}}}},
					nil
			})
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	const prompts, tick = 100, 25 * time.Millisecond
	order("reply", store.LaneReply, 60)
	order("prompt", store.LanePrompt, prompts)
	for at := time.Duration(0); at < 30*time.Second; at += tick {
		order("reply", store.LaneReply, 1) // 40 a second
		if at == 12*time.Second {
			order("urgent", store.LaneUrgent, 1)
		}
		g.settle()
		g.clock.Set(g.clock.Now().Add(tick))
	}
	got := sent["prompt"]
	if len(got) != prompts || got[0] < g.patience || got[0] > g.patience+time.Second {
		t.Fatalf("%d of %d prompts went, the first after %v", len(got), prompts, got[:min(1, len(got))])
	}
	// every second of 30 a second
	if took := got[prompts-1] - got[0]; took < prompts*time.Second/18 || took > prompts*time.Second/13 {
		t.Errorf("they took %v", took)
	}
	if u := sent["urgent"]; len(u) != 1 || u[0]-12*time.Second >= time.Second {
		t.Errorf("the red flag went after %v", u)
	}
	if len(sent["reply"]) < 700 {
		t.Errorf("only %d replies went beside them", len(sent["reply"]))
	}
}
