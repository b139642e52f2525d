package rehearsal

import (
	"fmt"
	"net/http"
	"sync"
)

// bell wakes whoever waits for something new.
type bell struct {
	mu   sync.Mutex
	rung int
	next chan struct{}
}

func (b *bell) ring() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.rung++
	if b.next != nil {
		close(b.next)
	}
	b.next = make(chan struct{})
}

func (b *bell) wait() (int, <-chan struct{}) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.rung, b.next
}

// events tells a page that something is new, as server-sent events. Between two
// of them nothing is sent: no act, no cost.
func (s *server) events(w http.ResponseWriter, r *http.Request) {
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	for {
		n, next := s.bell.wait()
		if _, err := fmt.Fprintf(w, "data: %d\n\n", n); err != nil || out.Flush() != nil {
			return
		}
		select {
		case <-next:
		case <-s.closed:
			return
		case <-r.Context().Done():
			return
		}
	}
}
