package program_test

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"duskdawn/bot/program"
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
	t.Parallel()
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
// lives, and with room again each is answered once. An emergency is answered
// meanwhile, past the store, also behind what waits, and staff are told; who
// watches is told, too.
// A disk that stays full for longer than the lease of who polls makes nobody deaf.
func TestAFullDiskMakesNobodyDeaf(t *testing.T) {
	talktest.OnlyInSiege(t)
	t.Parallel()
	if err := disk.Install(); err != nil {
		t.Fatal(err)
	}
	s, path := talktest.OnFile(t)
	n := s.Heard(stage.Heron)
	disk.Fill(path, true)
	defer disk.Fill(path, false)
	time.Sleep(program.LeaseFor + 2*time.Second)                          // the lease would be over
	if _, err := s.Platform.Say(stage.UserPatient, "today"); err != nil { // ends the poll that was open before
		t.Fatal(err)
	}
	time.Sleep(time.Second)
	if _, err := s.Platform.Say(stage.Heron, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 40*time.Second)
	defer cancel()
	if err := s.Platform.Wait(ctx, func() bool { return strings.Contains(s.BotSaid(stage.Heron, n), "911") }); err != nil {
		t.Errorf("the patient heard %q", s.BotSaid(stage.Heron, n))
	}
}

func TestAFullDiskLosesNothing(t *testing.T) {
	t.Parallel()
	if err := disk.Install(); err != nil {
		t.Fatal(err)
	}
	s, path := talktest.OnFile(t)
	n, desk, wren := s.Heard(stage.Heron), s.Heard(stage.UserAssistant), s.Heard(stage.UserPatient)
	disk.Fill(path, true)
	defer disk.Fill(path, false)
	say := func(user int64, text string) {
		if _, err := s.Platform.Say(user, text); err != nil {
			t.Fatal(err)
		}
	}
	say(stage.Heron, "worn all night, pain 1, snoring 4, guide 5 min, bite ok")
	say(stage.Heron, "I cannot breathe")
	say(stage.UserPatient, "today")
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	told := func() bool {
		return s.BotSaid(stage.Heron, n) != "" && strings.Contains(s.BotSaid(stage.UserAssistant, desk), "Heron-04")
	}
	if err := s.Platform.Wait(ctx, told); err != nil {
		t.Fatalf("past the store the patient heard %q and the desk %q", s.BotSaid(stage.Heron, n), s.BotSaid(stage.UserAssistant, desk))
	}
	if got := s.BotSaid(stage.Heron, n); !strings.Contains(got, "911") || s.Heard(stage.Heron)-n != 3 {
		t.Errorf("past the store: %q", got)
	}
	if got := s.BotSaid(stage.UserAssistant, desk); !strings.Contains(got, "NOT STORED") {
		t.Errorf("staff heard %q", got)
	}
	if s.Platform.Quiet() {
		t.Error("what could not be stored was acknowledged")
	}
	if got := s.BotSaid(stage.UserPatient, wren); got != "" {
		t.Errorf("answered without having been stored: %q", got)
	}
	if code, body := readyz(t, s.Program); code != 503 || !strings.Contains(body, "intake: what people write cannot be stored\n") {
		t.Errorf("%d: it says %s", code, body)
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
	if got := s.BotSaid(stage.Heron, n); strings.Count(got, "911") < 2 ||
		s.Heard(stage.Heron)-n < 4 || s.Heard(stage.Heron)-n > 5 { // the emergency may take back the answer to what came before
		t.Errorf("with room again: %q", got)
	}
	if got := s.Heard(stage.UserPatient) - wren; got != 2 {
		t.Errorf("%d messages of a question and its answer", got)
	}
	if !strings.Contains(s.BotSaid(stage.UserAssistant, desk), "was told") {
		t.Error("staff have no card of the red flag")
	}
	if _, body := readyz(t, s.Program); strings.Contains(body, "intake:") {
		t.Errorf("afterwards it says %s", body)
	}
}
