package talktest

import (
	"strings"
	"sync"
	"testing"

	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
)

// card finds the newest card in a chat that has a button whose label begins so,
// and the button's data.
func card(t *testing.T, s *Scene, user int64, label string) (standin.Message, string) {
	t.Helper()
	told := s.Platform.Messages(user)
	for i := len(told) - 1; i >= 0; i-- {
		for _, row := range told[i].Buttons {
			for _, b := range row {
				if strings.HasPrefix(b.Label, label) {
					return told[i], b.Data
				}
			}
		}
	}
	t.Fatalf("no button %q in chat %d", label, user)
	return standin.Message{}, ""
}

// Two people tap "I take it" in the same moment: one has it, the other hears who,
// and both cards show it.
func TestTwoTapAtOnce(t *testing.T) {
	t.Parallel()
	s := Play(t)
	const user = stage.UserPatient + 1
	s.Hears(t, user, "a screw piece came off, I have it here")
	staff := []int64{stage.UserClinician, stage.UserAssistant}
	cards, heard := map[int64]standin.Message{}, map[int64]int{}
	var all sync.WaitGroup
	for _, who := range staff {
		m, data := card(t, s, who, "I take it")
		cards[who], heard[who] = m, s.Heard(who)
		all.Go(func() {
			if _, err := s.Platform.ForceTap(who, who, m.ID, data); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	s.Hush(t)
	mine, theirs := 0, 0
	for _, who := range staff {
		got := s.BotSaid(who, heard[who])
		if strings.Contains(got, "is yours") {
			mine++
		}
		if strings.Contains(got, "has taken number") {
			theirs++
		}
		for _, m := range s.Platform.Messages(who) {
			if m.ID == cards[who].ID && (!strings.Contains(m.Text, "Taken by") || strings.Contains(m.Text, "Nobody has taken")) {
				t.Errorf("the card of %d still reads %q", who, m.Text)
			}
		}
	}
	if mine != 1 || theirs != 1 {
		t.Errorf("%d have it, %d hear who has", mine, theirs)
	}
}

// Two people close the same list of words in the same moment: each item is closed
// once, both are answered, and nothing is left.
func TestTwoCloseAListAtOnce(t *testing.T) {
	t.Parallel()
	s := Play(t)
	const user = stage.UserPatient + 1
	p, err := s.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	s.Hears(t, user, "the lid hums a tune again")
	staff := []int64{stage.UserClinician, stage.UserAssistant}
	for _, who := range staff {
		s.Hears(t, who, "cancel")
		if got := s.Hears(t, who, "words"); !strings.Contains(got, "the lid hums a tune again") {
			t.Fatalf("the list reads %q", got)
		}
	}
	both := func(label string) {
		t.Helper()
		var all sync.WaitGroup
		for _, who := range staff {
			m, data := card(t, s, who, label)
			all.Go(func() {
				if _, err := s.Platform.ForceTap(who, who, m.ID, data); err != nil {
					t.Error(err)
				}
			})
		}
		all.Wait()
		s.Hush(t)
	}
	both("Close 1")
	heard := map[int64]int{}
	for _, who := range staff {
		heard[who] = s.Heard(who)
	}
	both("Yes, do it")
	for _, who := range staff {
		if got := s.BotSaid(who, heard[who]); !strings.Contains(got, "being closed") {
			t.Errorf("%d hears %q", who, got)
		}
	}
	q, err := s.Patient(t.Context(), p.ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range q.Escalations {
		if x.Reason == flows.WhyMessage {
			t.Errorf("still open: %+v", x)
		}
	}
	closed := 0
	for _, d := range q.Closed {
		if d.Reason == flows.WhyMessage {
			closed++
		}
	}
	if closed != 1 {
		t.Errorf("closed %d times", closed)
	}
}

// A button that takes over, pressed twice in the same moment, takes over once: whoever
// had it hears of it once.
func TestTakeOverTwiceAtOnce(t *testing.T) {
	t.Parallel()
	s := Play(t)
	const user = stage.UserPatient + 1
	s.Hears(t, user, "a screw piece came off, I have it here")
	m, data := card(t, s, stage.UserAssistant, "I take it")
	if _, err := s.Platform.ForceTap(stage.UserAssistant, stage.UserAssistant, m.ID, data); err != nil {
		t.Fatal(err)
	}
	s.Hush(t)
	p, err := s.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	holder := func() string {
		q, err := s.Patient(t.Context(), p.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range q.Escalations {
			if x.Reason == "piece.broken" {
				return x.AckBy
			}
		}
		return ""
	}
	if holder() != "sassistant" {
		t.Fatalf("held by %q", holder())
	}
	m, data = card(t, s, stage.UserClinician, "Take over")
	n := s.Heard(stage.UserAssistant)
	var all sync.WaitGroup
	for range 2 { // the same button twice, as an impatient finger does
		all.Go(func() {
			if _, err := s.Platform.ForceTap(stage.UserClinician, stage.UserClinician, m.ID, data); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	s.Hush(t)
	if got := s.BotSaid(stage.UserAssistant, n); holder() != "sclinician" || strings.Count(got, "has taken it over from you") != 1 {
		t.Errorf("held by %q; the assistant hears %q", holder(), got)
	}
}
