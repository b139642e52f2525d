package telegram

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"time"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
)

// Address is the platform's own base address.
const Address = "https://api.telegram.org"

// sendTimeout bounds one request whose caller set no nearer deadline.
const sendTimeout = time.Minute

// Options of a client.
type Options struct {
	Token     Secret
	Address   string            // base address of the Bot API; default Address
	Transport http.RoundTripper // default: kept connections over HTTP/1.1
	Log       *slog.Logger      // gets classes and counts; default: nothing
	// Refused is how long the platform must refuse the token before it counts as
	// revoked; default a minute.
	Refused time.Duration
}

// Client is one bot at the platform. It may be used from many goroutines.
type Client struct {
	token string
	base  *url.URL // of every method, the token in it
	http  *http.Client
	log   *slog.Logger
	api   *bot.Bot
	trust trust
}

var (
	errToken   = errors.New("telegram: the token has not the platform's shape: digits, a colon, 30 or more letters")
	errAddress = errors.New("telegram: the address must be http or https with a host, without query or fragment")

	tokenShape = regexp.MustCompile(`^[0-9]{5,20}:[A-Za-z0-9_-]{30,}$`)
)

// New checks the options and contacts nobody. A token with a stray blank or line
// end would get past the library's own redaction, so it is trimmed and checked.
func New(o Options) (*Client, error) {
	c := &Client{token: strings.TrimSpace(string(o.Token)), log: o.Log}
	address := strings.TrimRight(o.Address, "/")
	if !tokenShape.MatchString(c.token) {
		return nil, errToken
	}
	if address == "" {
		address = Address
	}
	u, err := url.Parse(address)
	if err != nil || (u.Scheme != "http" && u.Scheme != "https") || u.Host == "" || u.RawQuery != "" || u.Fragment != "" ||
		u.User != nil {
		return nil, errAddress
	}
	u.Path += "/bot" + c.token + "/"
	c.base = u
	c.trust = trust{span: o.Refused, over: make(chan struct{})}
	if c.trust.span <= 0 {
		c.trust.span = refusedFor
	}
	if c.log == nil {
		c.log = slog.New(slog.DiscardHandler)
	}
	if o.Transport == nil {
		o.Transport = Kept()
	}
	c.http = &http.Client{
		Transport: quiet{o.Transport},
		// A redirect would carry the token, which is in the address, elsewhere.
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	c.api, err = bot.New(c.token,
		bot.WithSkipGetMe(),
		bot.WithServerURL(address),
		bot.WithHTTPClient(pollTimeout, c.http),
		bot.WithErrorsHandler(func(error) { c.odd() }),
		bot.WithDebugHandler(func(string, ...any) { c.odd() }),
		bot.WithDefaultHandler(func(context.Context, *bot.Bot, *models.Update) {}),
	)
	if err != nil {
		return nil, errToken // the library's words could hold it
	}
	return c, nil
}

// odd notes that the library wanted to say something, without its words.
func (c *Client) odd() { c.log.With("source", "go-telegram/bot").Warn("not in the inventory") }

// Kept is a transport that keeps as many connections as senders run. HTTP/1.1
// alone, because there a trace tells for certain whether a request was written.
func Kept() http.RoundTripper {
	t := http.DefaultTransport.(*http.Transport).Clone()
	t.MaxIdleConns, t.MaxIdleConnsPerHost = 128, 128
	t.Protocols = new(http.Protocols)
	t.Protocols.SetHTTP1(true)
	return t
}

// quiet replaces a transport's error, which can hold the address and so the
// token, by its class.
type quiet struct{ http.RoundTripper }

func (q quiet) RoundTrip(r *http.Request) (*http.Response, error) {
	resp, err := q.RoundTripper.RoundTrip(r)
	if err != nil {
		return nil, fault(networkClass(err))
	}
	return resp, nil
}

// fault is an error that says its class and nothing else.
type fault string

func (f fault) Error() string { return "telegram: " + string(f) }

func networkClass(err error) string {
	var timeout interface{ Timeout() bool }
	var named fault
	switch {
	case errors.As(err, &named):
		return string(named)
	case errors.Is(err, context.Canceled):
		return "cancelled"
	case errors.Is(err, context.DeadlineExceeded), errors.As(err, &timeout) && timeout.Timeout():
		return "timeout"
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return "connection closed"
	}
	return "network"
}

// Me is the bot itself: its id and user name. It is also the cheapest way to
// learn whether the token works.
func (c *Client) Me(ctx context.Context) (id int64, username string, r Result) {
	r = c.do(ctx, func(ctx context.Context) (int, error) {
		me, err := c.api.GetMe(ctx)
		if err == nil {
			id, username = me.ID, me.Username
		}
		return 0, err
	})
	return id, username, r
}
