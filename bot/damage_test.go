package main

import (
	"database/sql"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redis"
	"duskdawn/store/redistest"

	client "github.com/redis/go-redis/v9"
)

// A patient's record that cannot be read: whoever writes there is told to call,
// staff are told whose it is, check names it without the label, and everybody
// else is answered and asked as before. What was due there is not lost: it comes
// when the record is repaired.
func TestADamagedRecordHoldsUpNobodyElse(t *testing.T) {
	t.Parallel()
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		s, path := talktest.OnFile(t)
		write := func(ref store.Ref, body []byte) (was []byte) {
			db, err := sql.Open("sqlite", "file:"+path)
			if err == nil {
				err = db.QueryRow("SELECT body FROM aggregate WHERE ref = ?", ref.String()).Scan(&was)
			}
			if err == nil {
				_, err = db.Exec("UPDATE aggregate SET body = ? WHERE ref = ?", body, ref.String())
			}
			if err != nil {
				t.Fatal(err)
			}
			db.Close()
			time.Sleep(20 * time.Millisecond) // longer than what was read last is trusted
			return was
		}
		damageOne(t, s, write, func() {})
	})
	t.Run("redis", func(t *testing.T) {
		t.Parallel()
		address := redistest.Address(t)
		st, err := redis.Open(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		s := talktest.PlayOn(t, st)
		t.Cleanup(func() { s.Close(); _ = s.Store.Close() })
		o, err := client.ParseURL(strings.Replace(address, "redis+unix://", "unix://", 1))
		if err != nil {
			t.Fatal(err)
		}
		c := client.NewClient(o)
		defer c.Close()
		write := func(ref store.Ref, body []byte) (was []byte) {
			key := fmt.Sprintf("duskdawn:{%02d}:agg:%s", ref.Shard(), ref)
			was, err := c.HGet(t.Context(), key, "body").Bytes()
			if err == nil {
				err = c.HSet(t.Context(), key, "body", body).Err()
			}
			if err != nil {
				t.Fatal(err)
			}
			return was
		}
		again := func() { // it remembers what it wrote last, and would repair the damage by that
			s.Close()
			if err := s.Store.Close(); err != nil {
				t.Fatal(err)
			}
			st, err := redis.Open(t.Context(), address)
			if err != nil {
				t.Fatal(err)
			}
			if s.Stage, err = stage.Raise(t.Context(), s.Platform, s.Hands, program.Parts{Store: st}); err != nil {
				t.Fatal(err)
			}
		}
		damageOne(t, s, write, again)
	})
}

func damageOne(t *testing.T, s *talktest.Scene, write func(store.Ref, []byte) []byte, restart func()) {
	ctx := t.Context()
	c, err := s.Inbound.Chat(ctx, stage.UserPatient)
	if err != nil {
		t.Fatal(err)
	}
	ref := scheduler.PatientRef(c.Patient)
	whole := write(ref, []byte{0x10, 0xff})
	restart()
	n, other, desk := s.Heard(stage.UserPatient), s.Heard(stage.Heron), s.Heard(stage.UserAssistant)

	if err := s.Say(ctx, stage.UserPatient, "my jaw is swollen"); err != nil {
		t.Fatal(err)
	}
	if err := s.Say(ctx, stage.Heron, "today"); err != nil {
		t.Fatal(err)
	}
	if s.BotSaid(stage.Heron, other) == "" {
		t.Error("somebody else has no answer")
	}
	if !strings.Contains(s.BotSaid(stage.UserPatient, n), "911") {
		t.Errorf("whoever wrote hears %q", s.BotSaid(stage.UserPatient, n))
	}
	told := s.BotSaid(stage.UserAssistant, desk)
	if strings.Count(told, "The record of Wren-17 cannot be read") != 1 ||
		!strings.Contains(told, "A message of Wren-17") {
		t.Errorf("staff hear %q", told)
	}
	shown := ""
	if err := checkStore(ctx, app{out: io.Discard}, s.Store, func(ok bool, what string, v ...any) {
		if !ok {
			shown += fmt.Sprintf(what, v...) + "\n"
		}
	}); err != nil || !strings.Contains(shown, "the record of patient "+ref.ID+" cannot be read") ||
		!strings.Contains(shown, "class damaged record") ||
		strings.Contains(shown, "swollen") || strings.Contains(shown, "Wren") {
		t.Errorf("check shows %q, %v", shown, err)
	}

	n, other = s.Heard(stage.UserPatient), s.Heard(stage.Heron)
	s.Goes(t, talktest.At(21, 30)) // its timers fall due, as everybody's
	if got := s.Evenings(stage.Heron, other); got != 1 {
		t.Errorf("somebody else was asked on %d evenings, not on one", got)
	}
	if got := s.BotSaid(stage.UserPatient, n); got != "" {
		t.Errorf("asked by a record that cannot be read: %q", got)
	}

	write(ref, whole)
	restart()
	n = s.Heard(stage.UserPatient)
	if err := s.Say(ctx, stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if s.BotSaid(stage.UserPatient, n) == "" {
		t.Error("repaired, and no answer")
	}
	s.Goes(t, s.Clock.Now().Add(26*time.Hour))
	if got := s.Evenings(stage.UserPatient, n); got == 0 {
		t.Error("repaired, and not asked")
	}
}
