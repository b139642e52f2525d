package standin

import (
	"net/http"
	"strings"
)

// Kind of a fault.
type Kind int

const (
	TooMany      Kind = iota + 1 // 429, not executed
	Forbidden                    // 403, not executed
	Conflict                     // 409, not executed
	Unauthorized                 // 401, not executed
	ServerError                  // 500 in the platform's form, not executed
	BadGateway                   // 502 from a front, an HTML page that quotes the request; not executed
	Dropped                      // the request arrives, is not executed, and the connection breaks
	Lost                         // executed, and the answer is lost
	Delay                        // executed when Until is closed
	Unreachable                  // nothing is ever written; in process only
	NotFound                     // 404, not executed
	Empty                        // an empty list at once: a front that does not wait
	Spoilt                       // 400 to a file that is no picture for the platform, not executed
)

// Fault is something to go wrong on request.
type Fault struct {
	Kind       Kind
	Method     string // "" any but getUpdates
	Chat       int64  // 0 any
	RetryAfter int    // seconds, with TooMany
	Times      int    // how often; 0 is once, -1 for ever
	Until      <-chan struct{}
}

// Inject adds a fault; the first that fits a request strikes.
func (s *Server) Inject(f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.Times == 0 {
		f.Times = 1
	}
	s.faults = append(s.faults, &f)
}

// Mend takes all faults away.
func (s *Server) Mend() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = nil
}

func (s *Server) takeFault(method string, chat int64) *Fault {
	for i, f := range s.faults {
		if f.Kind == Unreachable || !f.fits(method, chat) {
			continue
		}
		s.spend(i)
		return f
	}
	return nil
}

func (f *Fault) fits(method string, chat int64) bool {
	if f.Chat != 0 && f.Chat != chat {
		return false
	}
	if f.Method == "" {
		return method != "getUpdates"
	}
	return strings.EqualFold(f.Method, method)
}

// spend counts one use; the lock is held.
func (s *Server) spend(i int) {
	if f := s.faults[i]; f.Times > 0 {
		if f.Times--; f.Times == 0 {
			s.faults = append(s.faults[:i:i], s.faults[i+1:]...)
		}
	}
}

// unreachable reports whether a request shall not even be written.
func (s *Server) unreachable(method string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, f := range s.faults {
		if f.Kind == Unreachable && f.fits(method, f.Chat) {
			s.spend(i)
			return true
		}
	}
	return false
}

// strike answers in the method's place and reports whether it did.
func (f *Fault) strike(w http.ResponseWriter, r *http.Request) bool {
	switch f.Kind {
	case TooMany:
		refuse(w, &refusal{code: 429, text: "Too Many Requests: retry after", retryAfter: max(f.RetryAfter, 1)})
	case Forbidden:
		refuse(w, forbidden("bot was blocked by the user"))
	case Conflict:
		refuse(w, &refusal{code: 409, text: "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"})
	case Unauthorized:
		refuse(w, &refusal{code: 401, text: "Unauthorized"})
	case Empty:
		answer(w, 200, map[string]any{"ok": true, "result": []any{}})
	case Spoilt:
		refuse(w, bad("IMAGE_PROCESS_FAILED"))
	case NotFound:
		refuse(w, &refusal{code: 404, text: "Not Found"})
	case ServerError:
		refuse(w, &refusal{code: 500, text: "Internal Server Error"})
	case BadGateway:
		w.WriteHeader(502)
		_, _ = w.Write([]byte("<html>502 Bad Gateway while asking " + r.URL.Path + "</html>"))
	case Dropped:
		panic(http.ErrAbortHandler)
	case Delay:
		select {
		case <-f.Until:
		case <-r.Context().Done():
		}
		return false
	default:
		return false
	}
	return true
}
