package talktest

import (
	"fmt"
	"strings"
	"testing"

	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/scheduler"
)

// An emergency is answered with the emergency line, and staff have a card, in
// whatever state, hold or doubt everything else is.
func TestAnEmergencyPassesEverything(t *testing.T) {
	t.Parallel()
	s := Play(t)
	const user = stage.UserPatient + 1
	emergency := func(t *testing.T, user int64, act func() error) {
		t.Helper()
		p, desk := s.Heard(user), s.Heard(stage.UserClinician)
		if err := act(); err != nil {
			t.Fatal(err)
		}
		s.Hush(t)
		if got := s.BotSaid(user, p); !strings.Contains(got, "999") && !strings.Contains(got, "112") &&
			!strings.Contains(got, "911") {
			t.Errorf("the patient hears %q", got)
		}
		if got := s.BotSaid(stage.UserClinician, desk); got == "" {
			t.Error("staff hear nothing")
		}
	}
	say := func(text string) func() error {
		return func() error { _, err := s.Platform.Say(user, text); return err }
	}
	const choke = "I cannot breathe"
	for _, text := range []string{choke, "i cant breathe. ignore that", "no puedo respirar",
		"snoring 3, pain 0, worn all night, can't breathe",
		"I can't br\u200beathe", "I CAN\u2019T BREATHE!!!", strings.Repeat("hm ", 1300) + choke} {
		t.Run(fmt.Sprintf("%.30q", text), func(t *testing.T) { emergency(t, user, say(text)) })
	}
	t.Run("caption", func(t *testing.T) {
		emergency(t, user, func() error {
			_, err := s.Platform.Post(standin.Post{Chat: user, From: user, Kind: "photo", Data: []byte{1}, Text: choke})
			return err
		})
	})
	t.Run("edited", func(t *testing.T) {
		id, err := s.Platform.Say(user, "thanks")
		if err != nil {
			t.Fatal(err)
		}
		s.Hush(t)
		emergency(t, user, func() error { return s.Platform.Edit(user, user, id, choke) })
	})
	t.Run("rival", func(t *testing.T) {
		s.Runner.SetRival(true)
		emergency(t, user, say(choke))
		s.Runner.SetRival(false)
	})
	t.Run("held", func(t *testing.T) {
		s.order(t, user, flows.Order{Op: flows.OrderHold})
		emergency(t, user, say(choke))
	})
	t.Run("paused", func(t *testing.T) {
		s.Hears(t, user, "pause")
		emergency(t, user, say(choke))
	})
	t.Run("restored", func(t *testing.T) {
		if err := s.Runner.Handle(t.Context(), scheduler.PracticeRef(), "attack/restored",
			flows.Restored{Epoch: 1}); err != nil {
			t.Fatal(err)
		}
		s.Hush(t)
		emergency(t, user, say(choke))
		if err := s.Runner.Handle(t.Context(), scheduler.PracticeRef(), "attack/released",
			flows.Manage{Op: flows.ManageRelease, Actor: flows.Actor{ID: "owner"}}); err != nil {
			t.Fatal(err)
		}
	})
	t.Run("leaving", func(t *testing.T) {
		s.Hears(t, user, "leave")
		emergency(t, user, say(choke))
	})
	t.Run("ended", func(t *testing.T) {
		s.order(t, user, flows.Order{Op: flows.OrderEnd, Text: "moved away"})
		emergency(t, user, say(choke))
	})
	t.Run("joining", func(t *testing.T) {
		const user = stage.UserPatient + 2
		p, err := s.ByChat(user)
		if err != nil {
			t.Fatal(err)
		}
		code := flows.NewCode(string(p.ID)[:2], [16]byte{7})
		s.order(t, user, flows.Order{Op: flows.OrderRebind, Code: code})
		s.Hears(t, user, "/start "+code)
		emergency(t, user, func() error { _, err := s.Platform.Say(user, choke); return err })
	})
}

// Whoever joined and was not yet confirmed as the right person sees nothing of
// what the patient said before.
func TestAnUnconfirmedPersonSeesNothing(t *testing.T) {
	t.Parallel()
	s := Play(t)
	const user = stage.UserPatient + 1
	p, err := s.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	code := flows.NewCode(string(p.ID)[:2], [16]byte{9})
	s.order(t, user, flows.Order{Op: flows.OrderRebind, Code: code})
	s.Hears(t, stage.UserStranger, "/start "+code)
	words := []string{"diary", "data", "today", "call me", "/diary", "/data", "resume", "how"}
	for step := range 3 {
		for _, w := range words {
			n := len(s.Platform.Messages(stage.UserStranger))
			got := s.Hears(t, stage.UserStranger, w)
			if strings.Contains(got, "2026") || strings.Contains(got, "555") && strings.Contains(got, "0104") ||
				strings.Contains(got, "Feb") {
				t.Errorf("step %d: %q tells %q", step, w, got)
			}
			for _, m := range s.Platform.Messages(stage.UserStranger)[n:] {
				if m.Bot && m.Kind != "text" {
					t.Errorf("step %d: %q gives a %s", step, w, m.Kind)
				}
			}
		}
		if step < 2 {
			s.Hears(t, stage.UserStranger, "yes")
		}
	}
	if q, _ := s.ByChat(stage.UserStranger); q.Sure == q.Gen {
		t.Error("the test does not test what it says")
	}
}

// Two codes given in one breath bind one patient to the chat, not two.
func TestTwoCodesInOneBreath(t *testing.T) {
	t.Parallel()
	s := Play(t)
	var ids []chart.PatientID
	var codes []string
	for i, user := range []int64{stage.UserPatient + 1, stage.UserPatient + 2} {
		p, err := s.ByChat(user)
		if err != nil {
			t.Fatal(err)
		}
		codes = append(codes, flows.NewCode(string(p.ID)[:2], [16]byte{byte(40 + i)}))
		ids = append(ids, p.ID)
		s.order(t, user, flows.Order{Op: flows.OrderRebind, Code: codes[i]})
	}
	for _, code := range codes {
		if _, err := s.Platform.Say(stage.UserStranger, "/start "+code); err != nil {
			t.Fatal(err)
		}
	}
	s.Hush(t)
	bound := 0
	for _, id := range ids {
		p, err := s.Patient(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if p.Chat == stage.UserStranger {
			bound++
		}
	}
	if bound != 1 {
		t.Errorf("%d patients are bound to one chat", bound)
	}
}
