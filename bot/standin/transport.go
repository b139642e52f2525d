package standin

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptrace"
	"path"
)

// Transport reaches the stand-in in process: no socket, no port, and nothing
// that a synctest bubble could not see.
func (s *Server) Transport() http.RoundTripper {
	return Local{Handler: s, refuse: func(r *http.Request) error {
		if s.unreachable(path.Base(r.URL.Path)) {
			return errors.New("dial tcp: connection refused")
		}
		return nil
	}}
}

// Local serves requests by a handler in the same process. A handler that aborts
// breaks the connection: the caller gets an error after the request was written.
type Local struct {
	Handler http.Handler
	refuse  func(*http.Request) error
}

// RoundTrip implements http.RoundTripper.
func (l Local) RoundTrip(r *http.Request) (*http.Response, error) {
	if r.Body != nil {
		defer r.Body.Close()
	}
	if l.refuse != nil {
		if err := l.refuse(r); err != nil {
			return nil, err
		}
	}
	if err := r.Context().Err(); err != nil {
		return nil, err
	}
	var body []byte
	if r.Body != nil {
		var err error
		if body, err = io.ReadAll(r.Body); err != nil {
			return nil, err
		}
	}
	trace := httptrace.ContextClientTrace(r.Context())
	if trace != nil && trace.WroteHeaders != nil {
		trace.WroteHeaders()
	}
	if trace != nil && trace.WroteRequest != nil {
		trace.WroteRequest(httptrace.WroteRequestInfo{})
	}
	// The handler may outlive a caller who gave up, as a real server does.
	done := make(chan *recorder, 1)
	ctx, cancel := context.WithCancel(context.WithoutCancel(r.Context()))
	in := r.Clone(ctx)
	in.Body, in.ContentLength, in.RequestURI = io.NopCloser(bytes.NewReader(body)), int64(len(body)), r.URL.RequestURI()
	in.RemoteAddr = "127.0.0.1:1"
	go func() {
		rec := &recorder{code: 200, header: http.Header{}}
		defer func() {
			if p := recover(); p != nil {
				if p != any(http.ErrAbortHandler) {
					rec.broken = fmt.Errorf("handler panicked: %v", p)
				} else {
					rec.broken = io.ErrUnexpectedEOF
				}
			}
			done <- rec
		}()
		l.Handler.ServeHTTP(rec, in)
	}()
	select {
	case <-r.Context().Done():
		cancel()
		return nil, r.Context().Err()
	case rec := <-done:
		cancel()
		if rec.broken != nil {
			return nil, rec.broken
		}
		return &http.Response{
			Status: http.StatusText(rec.code), StatusCode: rec.code, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
			Header: rec.header, Body: io.NopCloser(&rec.body), ContentLength: int64(rec.body.Len()), Request: r,
		}, nil
	}
}

// recorder keeps an answer.
type recorder struct {
	code   int
	wrote  bool
	header http.Header
	body   bytes.Buffer
	broken error
}

func (r *recorder) Header() http.Header { return r.header }
func (r *recorder) WriteHeader(code int) {
	if !r.wrote {
		r.code, r.wrote = code, true
	}
}
func (r *recorder) Write(p []byte) (int, error) {
	r.wrote = true
	return r.body.Write(p)
}
