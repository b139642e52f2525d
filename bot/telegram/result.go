package telegram

import (
	"context"
	"errors"
	"net/http/httptrace"
	"strings"
	"sync/atomic"
	"time"

	"github.com/go-telegram/bot"
)

// Outcome is what became of a request: a closed set, because each asks for
// another next step.
type Outcome int

const (
	Unknown    Outcome = iota // it was written and no certain answer came: it may have been executed
	Sent                      // executed, or needless: an edit that changes nothing, an answer to an expired tap
	Rejected                  // refused as wrong; the same again would be refused again
	Blocked                   // the person blocked the bot, or it is no member: no more to this chat
	Later                     // the flood limit; not before RetryAfter
	Moved                     // the group has a new id, MigrateTo
	NotWritten                // surely not executed: it never left this program, or nobody there took it
	Revoked                   // the platform does not know this token, and has said so for a while
	Conflict                  // another program polls, or a webhook is set
)

func (o Outcome) String() string {
	names := [...]string{"unknown", "sent", "rejected", "blocked", "later", "moved", "not written", "revoked", "conflict"}
	if o < 0 || int(o) >= len(names) {
		return "invalid"
	}
	return names[o]
}

// Result of one request. It holds no text and no token and may be logged.
type Result struct {
	Outcome    Outcome
	MessageID  int64         // of a message sent or edited
	MediaID    string        // of a file sent: it can be sent again by this id
	RetryAfter time.Duration // with Later
	MigrateTo  int64         // with Moved
	Class      string        // the reason in a few fixed words; empty when sent
}

// do runs one call of the library and classifies what came back.
func (c *Client) do(ctx context.Context, call func(context.Context) (int, error)) Result {
	ctx, cancel := context.WithTimeout(ctx, sendTimeout)
	defer cancel()
	var wrote atomic.Bool
	ctx = httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{
		WroteHeaders: func() { wrote.Store(true) },
		WroteRequest: func(httptrace.WroteRequestInfo) { wrote.Store(true) },
	})
	id, err := call(ctx)
	if err == nil {
		return c.judged(ctx, Result{Outcome: Sent, MessageID: int64(id)})
	}
	return c.judged(ctx, classify(err, wrote.Load()))
}

// classify reads the library's error. Its text may hold the request or the
// answer, so only fixed words of ours leave this function.
func classify(err error, wrote bool) Result {
	var later *bot.TooManyRequestsError
	var moved *bot.MigrateError
	var network fault
	switch {
	case errors.As(err, &later):
		return Result{Outcome: Later, RetryAfter: time.Duration(max(later.RetryAfter, 1)) * time.Second, Class: "flood limit"}
	case errors.As(err, &moved):
		return Result{Outcome: Moved, MigrateTo: int64(moved.MigrateToChatID), Class: "group moved"}
	case errors.Is(err, bot.ErrorForbidden):
		return Result{Outcome: Blocked, Class: "forbidden"}
	case errors.Is(err, bot.ErrorUnauthorized):
		return Result{Outcome: Revoked, Class: "token refused"}
	case errors.Is(err, bot.ErrorNotFound): // of the method: the token's shape was checked
		return Result{Outcome: NotWritten, Class: "not found"}
	case errors.Is(err, bot.ErrorConflict):
		return conflict(err.Error())
	case errors.Is(err, bot.ErrorBadRequest):
		return badRequest(err.Error())
	case errors.As(err, &network):
		if !wrote {
			return Result{Outcome: NotWritten, Class: string(network)}
		}
		return Result{Outcome: Unknown, Class: string(network)}
	case !wrote:
		return Result{Outcome: NotWritten, Class: "not written"}
	}
	// A 5xx, or an answer that is not the platform's: a front may have passed
	// the request on before it failed.
	return Result{Outcome: Unknown, Class: "server error"}
}

// webhookSet is the class of a conflict with a webhook, which the poller ends.
const webhookSet = "a webhook is set"

// conflict tells a webhook that is set from another program that polls.
func conflict(text string) Result {
	if strings.Contains(text, "webhook is active") {
		return Result{Outcome: Conflict, Class: webhookSet}
	}
	return Result{Outcome: Conflict, Class: "conflict"}
}

// badRequest finds the platform's reason among the few that matter. The
// description itself can quote a text, so it is never passed on.
func badRequest(text string) Result {
	for _, harmless := range []string{"message is not modified", "query is too old"} {
		if strings.Contains(text, harmless) {
			return Result{Outcome: Sent}
		}
	}
	for _, known := range []string{
		"chat not found", "message to edit not found", "message to delete not found", "message can't be edited", "message can't be deleted",
		"message text is empty", "message is too long", "message caption is too long", "BUTTON_DATA_INVALID", "BUTTON_COPY_TEXT_INVALID",
		"wrong file identifier", "PHOTO_INVALID_DIMENSIONS", "IMAGE_PROCESS_FAILED", "inline keyboard expected", "unknown parameter",
	} {
		if strings.Contains(text, known) {
			return Result{Outcome: Rejected, Class: known}
		}
	}
	return Result{Outcome: Rejected, Class: "bad request"}
}
