package standin_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/standin"
)

// updates asks once and gives the ids.
func updates(t *testing.T, s *standin.Server, offset int64, more params) (ids []int64) {
	t.Helper()
	p := params{"offset": offset}
	for k, v := range more {
		p[k] = v
	}
	r := ask(t, s, "getUpdates", p)
	var list []struct {
		ID int64 `json:"update_id"`
	}
	if !r.OK || json.Unmarshal(r.Result, &list) != nil {
		t.Fatal(r)
	}
	for _, u := range list {
		ids = append(ids, u.ID)
	}
	return ids
}

func TestOffsets(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var acks []int64
		s := stage(standin.Options{OnAck: func(o int64) { acks = append(acks, o) }})
		_, _ = s.Say(11, "two")
		_, _ = s.Say(11, "three")
		first := updates(t, s, 0, nil)
		if len(first) != 3 || fmt.Sprint(updates(t, s, 0, nil)) != fmt.Sprint(first) || s.Pending() != 3 || acks != nil {
			t.Error("not redelivered:", first)
		}
		if got := updates(t, s, 0, params{"limit": 2}); len(got) != 2 {
			t.Error("limit:", got)
		}
		if got := updates(t, s, first[1], nil); len(got) != 2 || s.Acked() != first[1] || s.Pending() != 2 {
			t.Error("half confirmed:", got)
		}
		if got := updates(t, s, first[0], nil); len(got) != 2 {
			t.Error("what was confirmed came back:", got)
		}
		if got := updates(t, s, 1<<40, nil); len(got) != 2 {
			t.Error("an unknown offset must start at the head:", got)
		}
		start := time.Now()
		if got := updates(t, s, first[2]+1, params{"timeout": 500}); got != nil || time.Since(start) != 50*time.Second {
			t.Error("a long wait:", got, time.Since(start))
		}
		if !s.Quiet() || fmt.Sprint(acks) != fmt.Sprint([]int64{first[1], first[2] + 1}) {
			t.Error(acks)
		}
		go func() { time.Sleep(7 * time.Second); _, _ = s.Say(11, "four") }()
		start = time.Now()
		if got := updates(t, s, 0, params{"timeout": 50}); len(got) != 1 || time.Since(start) != 7*time.Second {
			t.Error("woken:", got, time.Since(start))
		}
	})
}

func TestTheNewerPollEndsTheOlder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := standin.New(standin.Options{})
		old := make(chan reply)
		go func() { old <- ask(t, s, "getUpdates", params{"timeout": 50}) }()
		synctest.Wait()
		if !s.Polling() {
			t.Error("nobody waits")
		}
		if got := updates(t, s, 0, nil); got != nil {
			t.Error(got)
		}
		if r := <-old; r.Code != 409 {
			t.Errorf("%+v", r)
		}
	})
}

func TestWhatIsKeptHowLong(t *testing.T) {
	c := &clock{time.Date(2026, 11, 3, 20, 0, 0, 0, time.UTC)}
	s := stage(standin.Options{Now: c.now})
	ask(t, s, "sendMessage", params{"chat_id": 11, "text": "?", "reply_markup": inline("Yes", "y")})
	id := s.Messages(11)[1].ID
	if _, err := s.Tap(11, 11, id, "n"); err == nil {
		t.Error("a button that is not there")
	}
	tap, err := s.Tap(11, 11, id, "y")
	if err != nil {
		t.Fatal(err)
	}
	c.t = c.t.Add(149 * time.Second)
	if s.Pending() != 2 {
		t.Error("a tap is kept 150 s, here", s.Pending())
	}
	c.t = c.t.Add(time.Second)
	if s.Pending() != 1 {
		t.Error("a tap is dropped at 150 s, here", s.Pending())
	}
	if r := ask(t, s, "answerCallbackQuery", params{"callback_query_id": tap}); r.OK {
		t.Error("a stale tap was answered")
	}
	fresh, _ := s.Tap(11, 11, id, "y")
	for i, want := range []bool{true, false} {
		if r := ask(t, s, "answerCallbackQuery", params{"callback_query_id": fresh}); r.OK != want {
			t.Error("answer", i, r)
		}
	}
	c.t = c.t.Add(24*time.Hour - 151*time.Second)
	if s.Pending() != 1 {
		t.Error("a message is kept a day, here", s.Pending())
	}
	c.t = c.t.Add(time.Second)
	if !s.Quiet() {
		t.Error("a message is dropped after a day, here", s.Pending())
	}
}

func TestAllowedUpdates(t *testing.T) {
	s := stage(standin.Options{})
	_ = s.Block(11)
	_ = s.Unblock(11)
	if got := updates(t, s, 0, params{"allowed_updates": []string{"message"}}); len(got) != 3 {
		t.Error("what waited before comes anyway:", got)
	}
	_ = s.Block(11)
	if got := updates(t, s, 0, nil); len(got) != 3 {
		t.Error("the list persists:", got)
	}
}
