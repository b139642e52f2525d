package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptrace"
	"sync/atomic"
	"time"

	"github.com/go-telegram/bot/models"
)

// maxReply bounds an answer: a hundred updates are far smaller.
const maxReply = 64 << 20

// reply is the envelope of every answer.
type reply struct {
	OK         bool   `json:"ok"`
	Code       int    `json:"error_code"`
	Text       string `json:"description"`
	Result     any    `json:"result"` // a pointer, which is read into
	Parameters struct {
		RetryAfter int   `json:"retry_after"`
		MigrateTo  int64 `json:"migrate_to_chat_id"`
	} `json:"parameters"`
}

// ask calls a method with a JSON body and reads its result into into. It is for
// getUpdates, which the library has no public way to call, and for texts, which
// are nearly all that is sent: the library streams a form through a pipe and a
// goroutine, and that costs more than everything else that an answer needs.
func (c *Client) ask(ctx context.Context, method string, params, into any) Result {
	return c.judged(ctx, c.exchange(ctx, method, params, into))
}

// exchange is one request and its answer, taken at its word.
func (c *Client) exchange(ctx context.Context, method string, params, into any) Result {
	body, err := json.Marshal(params)
	if err != nil {
		return Result{Outcome: Rejected, Class: "request"}
	}
	var wrote atomic.Bool
	ctx = httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{
		WroteHeaders: func() { wrote.Store(true) },
		WroteRequest: func(httptrace.WroteRequestInfo) { wrote.Store(true) },
	})
	// past the client: a redirect would carry the token elsewhere
	resp, err := c.http.Transport.RoundTrip(c.post(ctx, method, body))
	if err != nil {
		return lost(err, wrote.Load())
	}
	defer resp.Body.Close()
	data, err := io.ReadAll(io.LimitReader(resp.Body, maxReply))
	if err != nil {
		return lost(err, true)
	}
	r := reply{Result: into}
	switch {
	case json.Unmarshal(data, &r) != nil:
		return Result{Outcome: Unknown, Class: "server error"}
	case !r.OK:
		return r.refusal()
	}
	return Result{Outcome: Sent}
}

// post makes the request of a method.
func (c *Client) post(ctx context.Context, method string, body []byte) *http.Request {
	u := *c.base
	u.Path += method
	req := &http.Request{
		Method: http.MethodPost, URL: &u, Host: u.Host, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header: http.Header{"Content-Type": {"application/json"}},
		Body:   io.NopCloser(bytes.NewReader(body)), ContentLength: int64(len(body)),
	}
	return req.WithContext(ctx)
}

// lost is a request without an answer.
func lost(err error, wrote bool) Result {
	var named fault
	class := networkClass(err)
	switch {
	case wrote:
		return Result{Outcome: Unknown, Class: class}
	case errors.As(err, &named), class != "network":
		return Result{Outcome: NotWritten, Class: class}
	}
	return Result{Outcome: NotWritten, Class: "not written"}
}

// refusal is what the platform says no with, in a few fixed words.
func (r reply) refusal() Result {
	switch {
	case r.Code == http.StatusTooManyRequests:
		return Result{Outcome: Later, RetryAfter: time.Duration(max(r.Parameters.RetryAfter, 1)) * time.Second,
			Class: "flood limit"}
	case r.Parameters.MigrateTo != 0:
		return Result{Outcome: Moved, MigrateTo: r.Parameters.MigrateTo, Class: "group moved"}
	case r.Code == http.StatusForbidden:
		return Result{Outcome: Blocked, Class: "forbidden"}
	case r.Code == http.StatusUnauthorized:
		return Result{Outcome: Revoked, Class: "token refused"}
	case r.Code == http.StatusNotFound: // of the method: the token's shape was checked
		return Result{Outcome: NotWritten, Class: "not found"}
	case r.Code == http.StatusConflict:
		return conflict(r.Text)
	case r.Code == http.StatusBadRequest:
		return badRequest(r.Text)
	}
	return Result{Outcome: Unknown, Class: "server error"}
}

// updates asks the platform for what waits. Each update stays raw, so that one
// that cannot be read does not take the others with it.
func (c *Client) updates(ctx context.Context, ask request) ([]json.RawMessage, Result) {
	ctx, cancel := context.WithTimeout(ctx, pollTimeout)
	defer cancel()
	var batch []json.RawMessage
	r := c.ask(ctx, "getUpdates", ask, &batch)
	return batch, r
}

// request is a getUpdates.
type request struct {
	Offset  int64    `json:"offset"`
	Limit   int      `json:"limit"`
	Timeout int      `json:"timeout"`
	Allowed []string `json:"allowed_updates"`
}

// text is a sendMessage.
type text struct {
	Chat    int64                   `json:"chat_id"`
	Text    string                  `json:"text"`
	Markup  models.ReplyMarkup      `json:"reply_markup,omitempty"`
	Reply   *models.ReplyParameters `json:"reply_parameters,omitempty"`
	Silent  bool                    `json:"disable_notification,omitempty"`
	Protect bool                    `json:"protect_content,omitempty"`
	Preview struct {
		Off bool `json:"is_disabled"`
	} `json:"link_preview_options"`
}

// sendText sends a message that has no file.
func (c *Client) sendText(ctx context.Context, m Message) Result {
	ctx, cancel := context.WithTimeout(ctx, sendTimeout)
	defer cancel()
	t := text{Chat: m.Chat, Text: m.Text, Markup: m.markup(), Reply: m.reply(), Silent: m.Silent, Protect: m.Protect}
	t.Preview.Off = true
	var sent struct {
		ID int64 `json:"message_id"`
	}
	r := c.ask(ctx, "sendMessage", t, &sent)
	r.MessageID = sent.ID
	return r
}
