package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os/exec"
	"strconv"
	"time"
)

// Make tries once to tell somebody. The error says in fixed words why it did
// not, or may not, work: neither an address nor what the other end said.
func (c *Call) Make(ctx context.Context, n News) (Outcome, error) {
	ctx, cancel := context.WithTimeout(ctx, tryFor)
	defer cancel()
	if len(c.command) > 0 {
		return c.run(ctx, n)
	}
	return c.post(ctx, n)
}

// run runs the command with kind, number and time behind its own words. It gets
// no environment of ours, which holds the bot's token.
func (c *Call) run(ctx context.Context, n News) (Outcome, error) {
	args := append(append([]string{}, c.command[1:]...), n.Kind, strconv.Itoa(n.Number), stamp(n.At))
	cmd := exec.CommandContext(ctx, c.command[0], args...)
	cmd.Env = []string{"PATH=/usr/local/bin:/usr/bin:/bin"}
	cmd.Dir = "/"
	cmd.WaitDelay = time.Second // what it started may hold its output open
	err := cmd.Run()
	var ended *exec.ExitError
	switch {
	case err == nil, errors.Is(err, exec.ErrWaitDelay):
		return Made, nil
	case ctx.Err() != nil:
		return Doubt, errors.New("the command did not end in time")
	case errors.As(err, &ended) && ended.ExitCode() > 0:
		return Failed, fmt.Errorf("the command ended with %d", ended.ExitCode())
	case errors.As(err, &ended):
		return Doubt, errors.New("the command was ended by a signal")
	}
	return Failed, errors.New("the command could not be started")
}

// body is what a webhook gets.
type body struct {
	Kind   string `json:"kind"`
	Number int    `json:"number"`
	Time   string `json:"time"`
}

var client = &http.Client{
	// a secret goes to the address that was named, and no further
	CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
}

func (c *Call) post(ctx context.Context, n News) (Outcome, error) {
	text, err := json.Marshal(body{n.Kind, n.Number, stamp(n.At)})
	if err != nil {
		return Failed, err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, c.webhook, bytes.NewReader(text))
	if err != nil {
		return Failed, errors.New("the address cannot be used")
	}
	req.Header.Set("Content-Type", "application/json")
	if c.secret != "" {
		req.Header.Set("Authorization", "Bearer "+c.secret)
	}
	res, err := client.Do(req)
	if err != nil {
		if refused(err) {
			return Failed, errors.New("the webhook's server could not be reached")
		}
		return Doubt, errors.New("the webhook's server did not answer")
	}
	defer res.Body.Close()
	_, _ = io.CopyN(io.Discard, res.Body, 4<<10) // so that the connection can be used again
	if res.StatusCode/100 != 2 {
		return Failed, fmt.Errorf("the webhook's server answered %d", res.StatusCode)
	}
	return Made, nil
}

func stamp(at time.Time) string { return at.UTC().Format(time.RFC3339) }
