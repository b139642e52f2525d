package scheduler

import (
	"fmt"
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/store"
)

// sky is a rig whose platform refuses the first try of some chats, and notes
// when each of what it took went out.
type sky struct {
	*rig
	begun  time.Time
	refuse map[string]time.Duration // how long a chat's first try is told to wait
	went   map[string]time.Duration // by key
	tries  map[string]int           // by chat
	n      int
}

func newSky(t *testing.T, refuse map[string]time.Duration) *sky {
	s := &sky{rig: newRig(t), refuse: refuse, went: map[string]time.Duration{}, tries: map[string]int{}}
	s.begun = s.clock.Now()
	s.answer = func(it store.Item) Result {
		s.tries[it.Queue]++
		if wait := s.refuse[it.Queue]; wait > 0 && s.tries[it.Queue] == 1 {
			return Result{Outcome: store.Pending, Wait: wait}
		}
		s.went[it.Key] = s.clock.Now().Sub(s.begun)
		return Result{Outcome: store.Sent}
	}
	return s
}

// order has a patient of its own write to a chat.
func (s *sky) order(key, chat string, lane store.Lane) {
	s.t.Helper()
	s.n++
	ref := PatientRef(chart.PatientID(fmt.Sprintf("%02d%d", s.n%store.Shards, s.n)))
	err := s.st.Update(s.t.Context(), ref, "e", s.clock.Now(), func(store.Aggregate) (store.Change, error) {
		return store.Change{Out: []store.Item{{ID: ref.ID, Queue: chat, Lane: lane, Key: key, Body: []byte{1}}}}, nil
	})
	if err != nil {
		s.t.Fatal(err)
	}
}

// until lets time pass in tenths of a second.
func (s *sky) until(end time.Duration) {
	s.t.Helper()
	for ; s.clock.Now().Sub(s.begun) < end; s.clock.Set(s.clock.Now().Add(100 * time.Millisecond)) {
		s.settle()
	}
	s.settle()
}

// A chat that was told to wait is left alone by every lane, and by what others
// write to it; a red flag asks again after half a minute.
func TestARefusedChatIsLeftAlone(t *testing.T) {
	s := newSky(t, map[string]time.Duration{"1": time.Minute})
	s.order("first", "1", store.LaneReply)
	s.settle()
	for lane := store.LaneUrgent; lane <= store.LaneAll; lane++ {
		s.order(fmt.Sprint("lane ", lane), "1", lane)
	}
	s.order("another's", "2", store.LanePrompt)
	s.until(59 * time.Second)
	red := fmt.Sprint("lane ", store.LaneUrgent)
	if s.tries["1"] != 2 || len(s.went) != 2 || s.went["another's"] > time.Second || s.went[red] != store.UrgentHold {
		t.Fatalf("%d tries in the refused chat, and %v went", s.tries["1"], s.went)
	}
	s.until(75 * time.Second)
	if len(s.went) != 2+int(store.LaneAll) {
		t.Errorf("afterwards %v went", s.went)
	}
}

// Three chats refused within five seconds are a storm: bulk waits in every chat
// for the longest of the three. Red flags go on, before replies, each a second
// after the last, and to a chat that asked to wait after half a minute.
func TestAStormHoldsBulkAlone(t *testing.T) {
	s := newSky(t, map[string]time.Duration{"1": 90 * time.Second, "2": time.Minute, "3": time.Minute})
	for _, chat := range []string{"1", "2", "3"} {
		s.order("refused "+chat, chat, store.LaneReply)
	}
	s.settle()
	for lane := store.LaneStaff; lane <= store.LaneAll; lane++ {
		s.order(fmt.Sprint("bulk ", lane), fmt.Sprint(10+lane), lane)
	}
	s.order("reply", "4", store.LaneReply)
	s.order("red 1", "5", store.LaneUrgent)
	s.order("red 2", "6", store.LaneUrgent)
	s.order("red to a refused chat", "2", store.LaneUrgent)
	s.until(58 * time.Second)
	want := map[string]time.Duration{"red 1": time.Second, "red 2": 2 * time.Second, "reply": 3 * time.Second,
		"red to a refused chat": store.UrgentHold}
	for key, at := range want {
		if got, ok := s.went[key]; !ok || got != at {
			t.Errorf("%s went after %v (%t), not %v", key, got, ok, at)
		}
	}
	if len(s.went) != len(want) {
		t.Errorf("these went in the storm: %v", s.went)
	}
	s.until(89 * time.Second)
	for lane := store.LaneStaff; lane <= store.LaneAll; lane++ {
		if at, ok := s.went[fmt.Sprint("bulk ", lane)]; ok {
			t.Errorf("lane %d went after %v", lane, at)
		}
	}
	s.until(95 * time.Second)
	if len(s.went) != s.n {
		t.Errorf("%d of %d went: %v", len(s.went), s.n, s.went)
	}
}

// While the platform holds bulk nobody passes it over: it gets no reply's place.
func TestAStormIsNotWaitedOutByPatience(t *testing.T) {
	s := newSky(t, map[string]time.Duration{"1": time.Minute, "2": time.Minute, "3": time.Minute})
	s.patience = 5 * time.Second
	for _, chat := range []string{"1", "2", "3"} {
		s.order("refused "+chat, chat, store.LaneReply)
	}
	s.settle()
	s.order("bulk", "4", store.LanePrompt)
	for i := range 100 {
		s.order(fmt.Sprint("reply ", i), fmt.Sprint(100+i), store.LaneReply)
	}
	s.until(59 * time.Second)
	if at, ok := s.went["bulk"]; ok || len(s.went) < 50 {
		t.Fatalf("bulk went after %v beside %d replies", at, len(s.went))
	}
	s.until(70 * time.Second)
	if at, ok := s.went["bulk"]; !ok || at < time.Minute {
		t.Errorf("bulk went after %v (%t)", at, ok)
	}
}
