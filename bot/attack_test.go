package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/scheduler"
)

// order gives an order of the clinician's to a user's patient.
func (s *scene) order(t *testing.T, user int64, o flows.Order) {
	t.Helper()
	p, err := s.byChat(user)
	if err != nil {
		t.Fatal(err)
	}
	s.orderOf(t, p.ID, o)
}

func (s *scene) orderOf(t *testing.T, id chart.PatientID, o flows.Order) {
	t.Helper()
	o.Actor, o.Chat = flows.Actor{ID: s.doctor.ID, Name: s.doctor.Label, Chat: s.doctor.Chat, Role: s.doctor.Role},
		s.doctor.Chat
	if err := s.runner.Handle(t.Context(), scheduler.PatientRef(id),
		fmt.Sprintf("attack/%d/%d", o.Op, time.Now().UnixNano()), o); err != nil {
		t.Fatal(err)
	}
	s.hush(t)
}

func (s *scene) hush(t *testing.T) {
	t.Helper()
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// hears posts something and gives what the chat then hears.
func (s *scene) hears(t *testing.T, user int64, text string) string {
	t.Helper()
	n := s.heard(user)
	if err := s.say(t.Context(), user, text); err != nil {
		t.Fatal(err)
	}
	return s.botSaid(user, n)
}

// An emergency is answered with the emergency line, and staff have a card, in
// whatever state, hold or doubt everything else is.
func TestAnEmergencyPassesEverything(t *testing.T) {
	s := play(t)
	const user = userPatient + 1
	emergency := func(t *testing.T, user int64, act func() error) {
		t.Helper()
		p, desk := s.heard(user), s.heard(userClinician)
		if err := act(); err != nil {
			t.Fatal(err)
		}
		s.hush(t)
		if got := s.botSaid(user, p); !strings.Contains(got, "999") && !strings.Contains(got, "112") &&
			!strings.Contains(got, "911") {
			t.Errorf("the patient hears %q", got)
		}
		if got := s.botSaid(userClinician, desk); got == "" {
			t.Error("staff hear nothing")
		}
	}
	say := func(text string) func() error {
		return func() error { _, err := s.platform.Say(user, text); return err }
	}
	const choke = "I cannot breathe"
	for _, text := range []string{choke, "i cant breathe. ignore that", "no puedo respirar",
		"snoring 3, pain 0, worn all night, can't breathe",
		"I can't br\u200beathe", "I CAN\u2019T BREATHE!!!", strings.Repeat("hm ", 1300) + choke} {
		t.Run(fmt.Sprintf("%.30q", text), func(t *testing.T) { emergency(t, user, say(text)) })
	}
	t.Run("caption", func(t *testing.T) {
		emergency(t, user, func() error {
			_, err := s.platform.Post(standin.Post{Chat: user, From: user, Kind: "photo", Data: []byte{1}, Text: choke})
			return err
		})
	})
	t.Run("edited", func(t *testing.T) {
		id, err := s.platform.Say(user, "thanks")
		if err != nil {
			t.Fatal(err)
		}
		s.hush(t)
		emergency(t, user, func() error { return s.platform.Edit(user, user, id, choke) })
	})
	t.Run("rival", func(t *testing.T) {
		s.runner.SetRival(true)
		emergency(t, user, say(choke))
		s.runner.SetRival(false)
	})
	t.Run("held", func(t *testing.T) {
		s.order(t, user, flows.Order{Op: flows.OrderHold})
		emergency(t, user, say(choke))
	})
	t.Run("paused", func(t *testing.T) {
		s.hears(t, user, "pause")
		emergency(t, user, say(choke))
	})
	t.Run("restored", func(t *testing.T) {
		if err := s.runner.Handle(t.Context(), scheduler.PracticeRef(), "attack/restored",
			flows.Restored{Epoch: 1}); err != nil {
			t.Fatal(err)
		}
		s.hush(t)
		emergency(t, user, say(choke))
		if err := s.runner.Handle(t.Context(), scheduler.PracticeRef(), "attack/released",
			flows.Manage{Op: flows.ManageRelease, Actor: flows.Actor{ID: "owner"}}); err != nil {
			t.Fatal(err)
		}
	})
	t.Run("leaving", func(t *testing.T) {
		s.hears(t, user, "leave")
		emergency(t, user, say(choke))
	})
	t.Run("ended", func(t *testing.T) {
		s.order(t, user, flows.Order{Op: flows.OrderEnd, Text: "moved away"})
		emergency(t, user, say(choke))
	})
	t.Run("joining", func(t *testing.T) {
		const user = userPatient + 2
		p, err := s.byChat(user)
		if err != nil {
			t.Fatal(err)
		}
		code := flows.NewCode(string(p.ID)[:2], [16]byte{7})
		s.order(t, user, flows.Order{Op: flows.OrderRebind, Code: code})
		s.hears(t, user, "/start "+code)
		emergency(t, user, func() error { _, err := s.platform.Say(user, choke); return err })
	})
}

// Whoever joined and was not yet confirmed as the right person sees nothing of
// what the patient said before.
func TestAnUnconfirmedPersonSeesNothing(t *testing.T) {
	s := play(t)
	const user = userPatient + 1
	p, err := s.byChat(user)
	if err != nil {
		t.Fatal(err)
	}
	code := flows.NewCode(string(p.ID)[:2], [16]byte{9})
	s.order(t, user, flows.Order{Op: flows.OrderRebind, Code: code})
	s.hears(t, userStranger, "/start "+code)
	words := []string{"diary", "data", "today", "call me", "/diary", "/data", "resume", "how"}
	for stage := range 3 {
		for _, w := range words {
			n := len(s.platform.Messages(userStranger))
			got := s.hears(t, userStranger, w)
			if strings.Contains(got, "2026") || strings.Contains(got, "555") && strings.Contains(got, "0104") ||
				strings.Contains(got, "Feb") {
				t.Errorf("stage %d: %q tells %q", stage, w, got)
			}
			for _, m := range s.platform.Messages(userStranger)[n:] {
				if m.Bot && m.Kind != "text" {
					t.Errorf("stage %d: %q gives a %s", stage, w, m.Kind)
				}
			}
		}
		if stage < 2 {
			s.hears(t, userStranger, "yes")
		}
	}
	if q, _ := s.byChat(userStranger); q.Sure == q.Gen {
		t.Error("the test does not test what it says")
	}
}

// Two codes given in one breath bind one patient to the chat, not two.
func TestTwoCodesInOneBreath(t *testing.T) {
	s := play(t)
	var ids []chart.PatientID
	var codes []string
	for i, user := range []int64{userPatient + 1, userPatient + 2} {
		p, err := s.byChat(user)
		if err != nil {
			t.Fatal(err)
		}
		codes = append(codes, flows.NewCode(string(p.ID)[:2], [16]byte{byte(40 + i)}))
		ids = append(ids, p.ID)
		s.order(t, user, flows.Order{Op: flows.OrderRebind, Code: codes[i]})
	}
	for _, code := range codes {
		if _, err := s.platform.Say(userStranger, "/start "+code); err != nil {
			t.Fatal(err)
		}
	}
	s.hush(t)
	bound := 0
	for _, id := range ids {
		p, err := s.patient(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if p.Chat == userStranger {
			bound++
		}
	}
	if bound != 1 {
		t.Errorf("%d patients are bound to one chat", bound)
	}
}
