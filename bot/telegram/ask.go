package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"time"
)

// request is a getUpdates. The library has no public way to make one.
type request struct {
	Offset  int64    `json:"offset"`
	Limit   int      `json:"limit"`
	Timeout int      `json:"timeout"`
	Allowed []string `json:"allowed_updates"`
}

// maxBatch bounds an answer: a hundred updates are far smaller.
const maxBatch = 64 << 20

// updates asks the platform for what waits. Each update stays raw, so that one
// that cannot be read does not take the others with it.
func (c *Client) updates(ctx context.Context, ask request) ([]json.RawMessage, Result) {
	ctx, cancel := context.WithTimeout(ctx, pollTimeout)
	defer cancel()
	body, err := json.Marshal(ask)
	if err != nil {
		return nil, Result{Outcome: Rejected, Class: "request"}
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, c.address+"/bot"+c.token+"/getUpdates", bytes.NewReader(body))
	if err != nil {
		return nil, Result{Outcome: NotWritten, Class: "request"}
	}
	req.Header.Set("Content-Type", "application/json")
	resp, err := c.http.Do(req)
	if err != nil {
		return nil, Result{Outcome: Unknown, Class: networkClass(err)}
	}
	defer resp.Body.Close()
	data, err := io.ReadAll(io.LimitReader(resp.Body, maxBatch))
	if err != nil {
		return nil, Result{Outcome: Unknown, Class: networkClass(err)}
	}
	var reply struct {
		OK         bool              `json:"ok"`
		Code       int               `json:"error_code"`
		Result     []json.RawMessage `json:"result"`
		Parameters struct {
			RetryAfter int `json:"retry_after"`
		} `json:"parameters"`
	}
	if json.Unmarshal(data, &reply) != nil {
		return nil, Result{Outcome: Unknown, Class: "server error"}
	}
	if reply.OK {
		return reply.Result, Result{Outcome: Sent}
	}
	switch reply.Code {
	case http.StatusUnauthorized, http.StatusNotFound:
		return nil, Result{Outcome: Revoked, Class: "token not known"}
	case http.StatusConflict:
		return nil, Result{Outcome: Conflict, Class: "conflict"}
	case http.StatusTooManyRequests:
		return nil, Result{Outcome: Later, RetryAfter: time.Duration(max(reply.Parameters.RetryAfter, 1)) * time.Second, Class: "flood limit"}
	}
	return nil, Result{Outcome: Unknown, Class: "server error"}
}
