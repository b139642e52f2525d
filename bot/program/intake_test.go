package program_test

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/bot/telegram"
	"duskdawn/store/disk"
)

func contextWithStop(t *testing.T) (context.Context, context.CancelFunc) {
	ctx, stop := context.WithCancel(t.Context())
	t.Cleanup(stop)
	return ctx, stop
}

// Many goroutines bring the same updates of the same people at once, as a
// webhook that repeats itself would: each is applied once, and none is lost.
func TestManyAtOnceThroughTheIntake(t *testing.T) {
	s, _ := talktest.OnFile(t)
	before := map[int64]int{}
	var updates []telegram.Update
	for i := range 120 {
		user := stage.UserPatient + int64(i%3)
		updates = append(updates, telegram.Update{ID: int64(900_000 + i), Kind: telegram.Text, Chat: user, From: user,
			Private: true, MessageID: int64(90_000 + i),
			Text: fmt.Sprintf("snoring %d", i%10), At: s.Hands.Now(), Language: "en"})
		before[user] = len(s.Journal(t, user))
	}
	var wg sync.WaitGroup
	for w := range 32 {
		wg.Go(func() {
			for i := range updates {
				if err := s.Take(context.Background(), updates[(i+7*w)%len(updates)]); err != nil {
					t.Error(err)
					return
				}
			}
		})
	}
	wg.Wait()
	for user, n := range before {
		now, mine := s.Journal(t, user), 0
		for event, times := range now {
			if strings.HasPrefix(event, "u/9000") || strings.HasPrefix(event, "u/9001") {
				mine++
			}
			if times != 1 {
				t.Errorf("%s of %d is there %d times", event, user, times)
			}
		}
		if mine != 40 || len(now) < n+40 {
			t.Errorf("%d of 40 events of %d, %d before and %d now", mine, user, n, len(now))
		}
	}
}

// The disk is full: what people write then stays with the platform, the program
// lives, and with room again each is answered once.
func TestAFullDiskLosesNothing(t *testing.T) {
	if err := disk.Install(); err != nil {
		t.Fatal(err)
	}
	s, path := talktest.OnFile(t)
	n, desk := s.Heard(stage.Heron), s.Heard(stage.UserAssistant)
	disk.Fill(path, true)
	defer disk.Fill(path, false)
	for _, text := range []string{"worn all night, pain 1, snoring 4, guide 5 min, bite ok", "I cannot breathe"} {
		if _, err := s.Platform.Say(stage.Heron, text); err != nil {
			t.Fatal(err)
		}
	}
	time.Sleep(700 * time.Millisecond) // several tries
	if s.Platform.Quiet() {
		t.Error("what could not be stored was acknowledged")
	}
	if got := s.BotSaid(stage.Heron, n); got != "" {
		t.Errorf("answered without having been stored: %q", got)
	}
	select {
	case <-s.Over():
		t.Fatal("the program ended")
	default:
	}
	disk.Fill(path, false)
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := s.BotSaid(stage.Heron, n); !strings.Contains(got, "911") || s.Heard(stage.Heron)-n != 4 {
		t.Errorf("with room again: %q", got)
	}
	if !strings.Contains(s.BotSaid(stage.UserAssistant, desk), "Heron-04") {
		t.Error("staff do not know of the red flag")
	}
}
