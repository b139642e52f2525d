package program_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"sync"
	"testing"
	"time"

	"duskdawn/bot/outside"
	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/flows"
	"duskdawn/scheduler"
)

// An emergency that nobody takes calls outside through the whole program: while
// the other end is away the call waits, over a restart, too; then it is made, again
// and again until a person takes it. It tells class, number and time and no more.
func TestAnEmergencyCallsOutside(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	var got []string
	status := http.StatusServiceUnavailable
	hook := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		raw, _ := io.ReadAll(r.Body)
		mu.Lock()
		defer mu.Unlock()
		if status == http.StatusOK {
			got = append(got, string(raw))
		}
		w.WriteHeader(status)
	}))
	defer hook.Close()
	call, err := outside.Parse("webhook = \"" + hook.URL + "\"")
	if err != nil {
		t.Fatal(err)
	}
	scene := talktest.Play(t)
	p, err := scene.ByChat(stage.UserPatient)
	if err != nil {
		t.Fatal(err)
	}
	scene.Halt()
	raise := func() *stage.Stage {
		t.Helper()
		s, err := stage.Raise(t.Context(), scene.Platform, scene.Hands, program.Parts{Store: scene.Store, Call: call})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s := raise()
	move := func(d time.Duration) {
		t.Helper()
		if err := s.Move(t.Context(), s.Hands.Now().Add(d)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Platform.Say(stage.UserPatient, "my tongue is swelling and I can't swallow"); err != nil {
		t.Fatal(err)
	}
	move(33 * time.Minute) // told at once, at 15 and at 30 minutes, and called outside
	s.Halt()
	mu.Lock()
	if status = http.StatusOK; len(got) > 0 {
		t.Errorf("called while nobody is there: %q", got)
	}
	mu.Unlock()
	s = raise()
	defer s.Halt()
	move(2 * time.Minute)
	mu.Lock()
	first := len(got)
	mu.Unlock()
	if first != 1 {
		t.Errorf("%d calls after the restart, not the one that waited", first)
	}
	move(8 * time.Hour)
	mu.Lock()
	for _, text := range got {
		if !regexp.MustCompile(`^\{"kind":"E","number":\d+,"time":"20\d\d-\d\d-\d\dT\d\d:\d\d:\d\dZ"\}$`).MatchString(text) {
			t.Errorf("it tells %s", text)
		}
	}
	calls := len(got)
	mu.Unlock()
	if calls < 5 || calls > 8 {
		t.Errorf("%d calls in eight hours", calls)
	}
	now, err := scene.ByChat(stage.UserPatient)
	if err != nil {
		t.Fatal(err)
	}
	pr, err := s.Practice(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, esc := range now.Escalations {
		if err := s.Runner.Handle(t.Context(), scheduler.PatientRef(p.ID), "take/"+esc.Reason, flows.Order{Op: flows.OrderAck, Esc: esc.N,
			Actor: flows.Actor{ID: pr.Staff[0].ID}}); err != nil {
			t.Fatal(err)
		}
	}
	move(8 * time.Hour)
	mu.Lock()
	defer mu.Unlock()
	if len(got) != calls {
		t.Errorf("taken, it calls %d times more", len(got)-calls)
	}
}
