package scheduler

import (
	"testing"
	"time"

	"duskdawn/store"
)

// A card that says what a patient was told waits while those words are on their
// way, three seconds at the most, and takes no place among the messages of a
// second meanwhile.
func TestACardWaitsForTheWordsItTells(t *testing.T) {
	s := newSky(t, nil)
	told := false
	s.early = func(it store.Item) bool { return it.Key == "card" && !told || it.Key == "never" }
	s.order("card", "11", store.LaneUrgent)
	s.order("never", "12", store.LaneUrgent)
	s.until(700 * time.Millisecond)
	if len(s.went) != 0 {
		t.Fatalf("went out early: %v", s.went)
	}
	before := s.Stats.FloodWait.Load()
	if before != 0 {
		t.Errorf("waiting for words took a place: %v", time.Duration(before))
	}
	told = true
	s.until(5 * time.Second)
	if at := s.went["card"]; at < 700*time.Millisecond || at > 2*time.Second {
		t.Errorf("the card went out after %v", at)
	}
	if at := s.went["never"]; at < earlyFor || at > earlyFor+200*time.Millisecond {
		t.Errorf("the card of words that never arrive went out after %v", at)
	}
}
