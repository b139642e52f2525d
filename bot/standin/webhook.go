package standin

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"time"
)

// hook is a webhook and its running queues.
type hook struct {
	url, secret string
	ctx         context.Context
	stop        context.CancelFunc
	running     map[int64]bool
}

var secretShape = regexp.MustCompile(`^[A-Za-z0-9_-]{0,256}$`)

func (s *Server) setWebhook(f *form) (any, *refusal) {
	u, err := url.Parse(f.str("url"))
	local := err == nil && u.Scheme == "http" && net.ParseIP(u.Hostname()).IsLoopback()
	if err != nil || u.Host == "" || (u.Scheme != "https" && !local) {
		return nil, bad("bad webhook: An HTTPS URL must be provided for webhook")
	}
	if !secretShape.MatchString(f.str("secret_token")) {
		return nil, bad("secret token contains unallowed characters")
	}
	if no := s.allow(f.str("allowed_updates")); no != nil {
		return nil, no
	}
	s.dropHook(f)
	ctx, stop := context.WithCancel(context.Background())
	s.hook = &hook{url: u.String(), secret: f.str("secret_token"), ctx: ctx, stop: stop, running: map[int64]bool{}}
	for _, q := range s.queue {
		s.pump(q.row)
	}
	return true, nil
}

func (s *Server) deleteWebhook(f *form) (any, *refusal) {
	s.dropHook(f)
	return true, nil
}

func (s *Server) dropHook(f *form) {
	if s.hook != nil {
		s.hook.stop()
		s.hook = nil
	}
	if f.bool("drop_pending_updates") {
		s.queue = nil
	}
}

// Close ends the webhook's deliveries, if any run.
func (s *Server) Close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.dropHook(&form{})
}

// pump starts the delivery of one queue unless it runs; the lock is held.
func (s *Server) pump(row int64) {
	if h := s.hook; h != nil && !h.running[row] {
		h.running[row] = true
		go s.deliver(h, row)
	}
}

// deliver posts one queue's updates in order, each until it is taken.
func (s *Server) deliver(h *hook, row int64) {
	delay := time.Duration(0) // the first failure is tried again at once
	for {
		s.mu.Lock()
		s.prune()
		i := slices.IndexFunc(s.queue, func(q *queued) bool { return q.row == row })
		if h.ctx.Err() != nil || i < 0 {
			delete(h.running, row)
			s.mu.Unlock()
			return
		}
		q := s.queue[i]
		s.give(q)
		s.mu.Unlock()
		taken, wait := s.offer(h, q)
		if taken {
			if s.opt.OnTaken != nil {
				s.opt.OnTaken(q.id)
			}
			s.mu.Lock()
			s.queue = slices.DeleteFunc(s.queue, func(x *queued) bool { return x == q })
			s.signal()
			s.mu.Unlock()
			delay = 0
			continue
		}
		select {
		case <-time.After(max(delay, wait)):
		case <-h.ctx.Done():
		}
		delay = min(max(2*delay, 2*time.Second), time.Minute)
	}
}

func (s *Server) offer(h *hook, q *queued) (taken bool, wait time.Duration) {
	body, _ := json.Marshal(q.json())
	req, err := http.NewRequestWithContext(h.ctx, http.MethodPost, h.url, bytes.NewReader(body))
	if err != nil {
		return false, 0
	}
	req.Header.Set("Content-Type", "application/json")
	if h.secret != "" {
		req.Header.Set("X-Telegram-Bot-Api-Secret-Token", h.secret)
	}
	resp, err := s.opt.Webhook.RoundTrip(req)
	if err != nil {
		return false, 0
	}
	_, _ = io.Copy(io.Discard, resp.Body)
	_ = resp.Body.Close()
	if resp.StatusCode/100 == 2 {
		return true, 0
	}
	after, _ := strconv.Atoi(resp.Header.Get("Retry-After"))
	return false, min(time.Duration(max(after, 0))*time.Second, hour)
}
