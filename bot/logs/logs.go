package logs

import (
	"context"
	"io"
	"log"
	"log/slog"
	"os"
	"regexp"
	"slices"
	"sync"
	"time"
)

// longest is how many bytes a value may have; classes and versions are shorter.
const longest = 80

// New makes the program's log: JSON lines, in UTC.
func New(w io.Writer) *slog.Logger { return slog.New(newHandler(w)) }

// Library makes a standard logger for a library that wants one. What it says is
// counted, and its words are dropped.
func Library(l *slog.Logger, name string) *log.Logger {
	return slog.NewLogLogger(l.Handler().WithAttrs([]slog.Attr{slog.String("source", name)}), slog.LevelWarn)
}

// Capture sends the standard log, and whatever uses the default logger, through
// l until the returned function is called.
func Capture(l *slog.Logger) (release func()) {
	before, flags := slog.Default(), log.Flags()
	slog.SetDefault(l)
	return func() {
		slog.SetDefault(before)
		log.SetOutput(os.Stderr)
		log.SetFlags(flags)
	}
}

// handler lets through what is listed.
type handler struct {
	next   slog.Handler
	events map[string]Event
	source string // of a library
	odd    *odd
}

func newHandler(w io.Writer) *handler {
	h := &handler{next: slog.NewJSONHandler(w, nil), events: map[string]Event{}, source: "unknown", odd: &odd{}}
	for _, e := range Events() {
		h.events[e.Name] = e
	}
	return h
}

// Enabled reports whether a level is written at all.
func (h *handler) Enabled(ctx context.Context, l slog.Level) bool { return h.next.Enabled(ctx, l) }

// Handle writes a listed event with its listed keys; anything else is counted.
func (h *handler) Handle(ctx context.Context, r slog.Record) error {
	e, ok := h.events[r.Message]
	if !ok || e.Name == Unlisted {
		if n := h.odd.count(h.source, r.Time); n > 0 {
			line := slog.NewRecord(r.Time.UTC(), slog.LevelWarn, Unlisted, 0)
			line.AddAttrs(slog.String("source", h.source), slog.Int("count", n))
			return h.next.Handle(ctx, line)
		}
		return nil
	}
	line := slog.NewRecord(r.Time.UTC(), r.Level, e.Name, 0)
	r.Attrs(func(a slog.Attr) bool {
		if slices.Contains(e.Keys, a.Key) && plain(a.Value) {
			line.AddAttrs(a)
		}
		return true
	})
	return h.next.Handle(ctx, line)
}

// WithAttrs keeps the name of a library; other attributes are not of one event and are dropped.
func (h *handler) WithAttrs(attrs []slog.Attr) slog.Handler {
	named := *h
	for _, a := range attrs {
		if a.Key == "source" && plain(a.Value) {
			named.source = a.Value.String()
		}
	}
	return &named
}

// WithGroup drops the group's name: no listed key lies in one.
func (h *handler) WithGroup(string) slog.Handler { return h }

var tokenLike = regexp.MustCompile(`[0-9]{5,20}:[A-Za-z0-9_-]{30,}`)

// plain reports whether a value is a number, a time, a flag or a short word.
// Structures, errors and whatever makes its own text are not.
func plain(v slog.Value) bool {
	switch v.Kind() {
	case slog.KindBool, slog.KindDuration, slog.KindFloat64, slog.KindInt64, slog.KindUint64, slog.KindTime:
		return true
	case slog.KindString:
		s := v.String()
		return len(s) <= longest && !tokenLike.MatchString(s)
	}
	return false
}

// odd counts what was dropped, by who said it.
type odd struct {
	mu   sync.Mutex
	by   map[string]int
	told map[string]time.Time
}

// count gives how many lines of a source to tell of now: all since the last
// time, once a minute; 0 in between.
func (o *odd) count(source string, now time.Time) int {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.by == nil {
		o.by, o.told = map[string]int{}, map[string]time.Time{}
	}
	o.by[source]++
	if at, ok := o.told[source]; ok && now.Sub(at) < time.Minute {
		return 0
	}
	n := o.by[source]
	o.by[source], o.told[source] = 0, now
	return n
}
