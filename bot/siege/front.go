package siege

import (
	"errors"
	"net"
	"net/http"
	"sync"
)

// Front is what stands before the program's webhook and ends TLS. Where there
// are several processes it gives each call to one that takes it, in turn.
type Front struct {
	mu sync.Mutex
	to []string // addresses; none: where the call goes anyway
	n  int
}

func (f *Front) RoundTrip(r *http.Request) (*http.Response, error) {
	f.mu.Lock()
	to := append([]string(nil), f.to...)
	f.n++
	first := f.n
	f.mu.Unlock()
	if len(to) == 0 {
		return Proxy{}.RoundTrip(r)
	}
	var err error
	for i := range to {
		try := r.Clone(r.Context())
		if try.Body, err = r.GetBody(); err != nil {
			return nil, err
		}
		try.URL.Host = to[(first+i)%len(to)]
		res, failed := Proxy{}.RoundTrip(try)
		var dial *net.OpError
		if err = failed; err == nil || !errors.As(err, &dial) || dial.Op != "dial" {
			return res, err // whoever may have begun on it is not passed over
		}
	}
	return nil, err
}

// Proxy stands for the front that ends TLS before the program.
type Proxy struct{}

func (Proxy) RoundTrip(r *http.Request) (*http.Response, error) {
	r = r.Clone(r.Context())
	r.URL.Scheme = "http"
	return http.DefaultTransport.RoundTrip(r)
}
