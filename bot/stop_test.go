package main

import (
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// Told to stop, the program takes nothing new, finishes what is in flight, and
// closes: what the platform had taken is settled, what waits stays for the next start.
func TestServeFinishesWhatIsInFlight(t *testing.T) {
	t.Parallel()
	platform := standin.New(standin.Options{})
	defer platform.Close()
	srv := httptest.NewServer(platform)
	defer srv.Close()
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API="+srv.URL)
	s := startServe(t, h)
	wait := func(what string, cond func() bool) {
		t.Helper()
		for end := time.Now().Add(30 * time.Second); !cond(); time.Sleep(2 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("%s never came\n%s", what, s.errs)
			}
		}
	}
	wait("polling", platform.Polling)
	gate := make(chan struct{})
	platform.Inject(standin.Fault{Kind: standin.Delay, Method: "sendMessage", Until: gate})
	platform.AddUser(standin.User{ID: 7, Name: "somebody"})
	if _, err := platform.Say(7, "hello"); err != nil {
		t.Fatal(err)
	}
	wait("an answer in flight", func() bool { return platform.Calls("sendMessage") == 1 })

	ended := make(chan struct{})
	go func() { s.stop(); close(ended) }() // as a SIGTERM does
	wait("a word that it stops", func() bool { return strings.Contains(s.errs.String(), `"stop"`) })
	st, err := program.OpenStore(t.Context(), setup.Secret(strings.TrimPrefix(h.env[0], "DUSKDAWN_STORE=")), false)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if err := st.Update(t.Context(), scheduler.ChatRef(8), "bulk", time.Now(),
		func(store.Aggregate) (store.Change, error) {
			return store.Change{Out: []store.Item{{ID: scheduler.ChatRef(8).ID[:2] + "bulk", Queue: "8", Lane: store.LanePrompt,
				Body: []byte{1}}}}, nil
		}); err != nil {
		t.Fatal(err)
	}
	select {
	case <-ended:
		t.Fatal("it did not wait for what is in flight")
	case <-time.After(300 * time.Millisecond):
	}
	close(gate)
	<-ended
	if n := len(platform.Messages(7)); n != 2 || platform.Calls("sendMessage") != 1 {
		t.Errorf("%d messages, %d sends", n, platform.Calls("sendMessage"))
	}
	b, err := st.Waiting(t.Context())
	if err != nil || b[store.LaneReply].Items != 0 || b[store.LanePrompt].Items != 1 {
		t.Errorf("left in the outbox: %v, %v", b, err)
	}
}
