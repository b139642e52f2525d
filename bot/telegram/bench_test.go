package telegram_test

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"sync/atomic"
	"testing"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

// BenchmarkPoll is what intake costs an update, its handler apart: in process,
// and over a loopback connection.
func BenchmarkPoll(b *testing.B) {
	b.Run("process", func(b *testing.B) { benchPoll(b, true) })
	b.Run("loopback", func(b *testing.B) { benchPoll(b, false) })
}

func benchPoll(b *testing.B, process bool) {
	s, c := benchBed(b, process)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var n atomic.Int64
	done := make(chan struct{})
	p := c.Poller(telegram.PollOptions{
		Handle: func(context.Context, telegram.Update) error {
			if n.Add(1) == int64(b.N) {
				close(done)
			}
			return nil
		},
		SetAside: func(context.Context, json.RawMessage, string) error { return nil },
	})
	for i := range b.N {
		_, _ = s.Say(int64(i%100)+1, "Pain 3")
	}
	b.ResetTimer()
	go func() { _ = p.Run(ctx) }()
	<-done
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "updates/s")
}

// BenchmarkSend is one message through the library.
func BenchmarkSend(b *testing.B) {
	for name, process := range map[string]bool{"process": true, "loopback": false} {
		b.Run(name, func(b *testing.B) {
			_, c := benchBed(b, process)
			var n atomic.Int64
			b.RunParallel(func(pb *testing.PB) {
				for pb.Next() {
					if r := c.Send(context.Background(), telegram.Message{Chat: n.Add(1)%100 + 1,
						Text: "Saved: pain 3."}); r.Outcome != telegram.Sent {
						b.Error(r)
					}
				}
			})
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "messages/s")
		})
	}
}

func benchBed(b *testing.B, process bool) (*standin.Server, *telegram.Client) {
	s := standin.New(standin.Options{Token: token})
	for u := int64(1); u <= 100; u++ {
		s.AddUser(standin.User{ID: u})
		_, _ = s.Say(u, "hello")
	}
	o := telegram.Options{Token: token, Address: "http://standin.invalid"}
	var t http.RoundTripper
	if process {
		t = s.Transport()
	} else {
		srv := httptest.NewServer(s)
		b.Cleanup(srv.Close)
		o.Address = srv.URL
	}
	o.Transport = t
	c, err := telegram.New(o)
	if err != nil {
		b.Fatal(err)
	}
	return s, c
}
