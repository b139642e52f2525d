package talktest

import (
	"strings"
	"sync"
	"testing"

	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
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
