package outside

import (
	"errors"
	"fmt"
	"net"
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"github.com/BurntSushi/toml"
)

// News is all that an outside call tells.
type News struct {
	Kind   string // an escalation's class, E or S, or what is wrong with the program
	Number int    // the escalation's, or how often this was told; from 0
	At     time.Time
}

// Outcome is what came of one try.
type Outcome int

// The outcomes. In doubt somebody may have been told.
const (
	Failed Outcome = iota
	Made
	Doubt
)

// tryFor is how long one try may take.
const tryFor = 20 * time.Second

// Call is how the outside is told: one of the two.
type Call struct {
	command []string
	webhook string
	secret  string
}

// Parse reads the call out of its file. An empty one, or one of comments alone,
// is no call: nil. No error quotes what stands in the file.
func Parse(text string) (*Call, error) {
	var f struct {
		Command []string `toml:"command"`
		Webhook string   `toml:"webhook"`
		Secret  string   `toml:"secret"`
	}
	meta, err := toml.Decode(text, &f)
	var at toml.ParseError
	switch {
	case errors.As(err, &at):
		return nil, fmt.Errorf("line %d is not TOML", at.Position.Line)
	case err != nil:
		return nil, errors.New("command is a list of words, webhook and secret are texts")
	case len(meta.Undecoded()) > 0:
		return nil, errors.New("it may hold command, or webhook and secret, and nothing else")
	case len(f.Command) > 0 && f.Webhook != "":
		return nil, errors.New("it holds both a command and a webhook")
	case len(f.Command) > 0 && !filepath.IsAbs(f.Command[0]):
		return nil, errors.New("command begins with the whole path of a program")
	case f.Webhook != "" && !usable(f.Webhook):
		return nil, errors.New("webhook is an https address; http on this machine alone")
	case strings.ContainsAny(f.Secret, "\r\n"), f.Secret != "" && f.Webhook == "":
		return nil, errors.New("secret is one line and goes with a webhook")
	case len(f.Command) == 0 && f.Webhook == "":
		return nil, nil
	}
	return &Call{f.Command, f.Webhook, f.Secret}, nil
}

// usable reports whether a secret may be sent to an address.
func usable(address string) bool {
	u, err := url.Parse(address)
	if err != nil || u.Hostname() == "" {
		return false
	}
	ip := net.ParseIP(u.Hostname())
	return u.Scheme == "https" || u.Scheme == "http" && (u.Hostname() == "localhost" || ip != nil && ip.IsLoopback())
}

// Kind names the way of the call, without its address.
func (c *Call) Kind() string {
	if len(c.command) > 0 {
		return "a command"
	}
	return "a webhook"
}
