package redis

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// form is a version of the stored form.
type form int

const (
	enveloped form = 2 // from here on rows lie in envelopes
	flooded   form = 3 // and the flood limiter's too
	newest    form = 3
)

// floodKey holds the flood limiter's rows.
const floodKey = "flood"

// seenKey is where a shard keeps the events it has seen, from the second form on.
const seenKey = "events"

// fromField is of the store's meta: the form that rows may still have while they
// are brought over.
const fromField = "from"

// errOlder says that what is kept has to be brought over first.
var errOlder = errors.New("what is kept there has an older form: stop every program of the older version, and start serve of this one, which brings it over")

// bring brings what the first form stored into envelopes. It may be cut off at
// any place, and run by several programs at once: each row is replaced where it
// is still what was read, and one that is in its envelope is left. A program of
// the older version that still runs can do no harm meanwhile: its commits fail,
// since the events it has seen are no more where it looks, and so does what
// settles a message, since the head of every journal has changed before anything
// else has.
func (s *Store) bring(ctx context.Context, from form) error {
	if from >= newest {
		return nil
	}
	meta := allPrefix + "meta"
	if err := s.read(ctx, "bringing the form over", func(p redis.Pipeliner) {
		p.HSet(ctx, meta, "form", int(newest), fromField, int(from))
	}); err != nil {
		return err
	}
	for shard := range store.Shards {
		if _, err := s.run(ctx, "bringing what was seen over", s.scripts.bring, prefix(shard)); err != nil {
			return err
		}
	}
	if err := s.eachKey(ctx, func(prefix, kind, key string) error {
		if from >= enveloped && kind != floodKey { // it is in its envelope, or damaged, and stays so
			return nil
		}
		return s.bringKey(ctx, prefix, kind, key)
	}); err != nil {
		return fmt.Errorf("bringing rows over: %w", err)
	}
	return s.read(ctx, "bringing the form over", func(p redis.Pipeliner) { p.HDel(ctx, meta, fromField) })
}

// eachKey gives every key that holds rows to do, with its prefix and its kind:
// heads and bodies first.
func (s *Store) eachKey(ctx context.Context, do func(prefix, kind, key string) error) error {
	for _, kind := range []string{"agg:", "item:", "timers:", "sum", "diary:", "journal:"} {
		keys, err := s.keysOf(ctx, kind)
		if err != nil {
			return err
		}
		for _, key := range keys {
			cut := strings.Index(key, "}:") + len("}:")
			if err := do(key[:cut], kind, key[cut:]); err != nil {
				return err
			}
		}
	}
	return errors.Join(do(allPrefix, "aside", "aside"), do(allPrefix, "meta", "meta"), do(floodPrefix, floodKey, floodKey))
}

// eachRow gives every row to do, with the prefix of its key.
func (s *Store) eachRow(ctx context.Context, do func(prefix string, r row) error) error {
	return s.eachKey(ctx, func(prefix, kind, key string) error {
		return s.rowsOf(ctx, prefix, kind, key, func(r row) error { return do(prefix, r) })
	})
}

// bringKey wraps the rows of one key, which stands behind the prefix.
func (s *Store) bringKey(ctx context.Context, prefix, kind, key string) error {
	how, args := "hash", []any{}
	swap := func(at any, old string, place []byte, lead string) {
		body := strings.TrimPrefix(old, lead)
		if _, err := store.Unwrap(place, []byte(body)); err != nil {
			args = append(args, at, old, lead+string(store.Wrap(place, []byte(body))))
		}
	}
	err := s.rowsOf(ctx, prefix, kind, key, func(r row) error {
		if r.list {
			how = "list"
		}
		swap(r.at, r.lead+r.row, r.place, r.lead)
		if len(args) < 3*page {
			return nil
		}
		all := append([]any{how, key}, args...)
		args = args[:0]
		_, err := s.run(ctx, "wrapping rows", s.scripts.swapRow, prefix, all...)
		return err
	})
	if err != nil || len(args) == 0 {
		return err
	}
	_, err = s.run(ctx, "wrapping rows", s.scripts.swapRow, prefix, append([]any{how, key}, args...)...)
	return err
}

// row is one row past the form: where it lies, what it is called, and what its
// envelope is bound to.
type row struct {
	key   string // behind the prefix
	list  bool
	at    any    // its field, or its place in a list
	lead  string // what stands before the envelope
	row   string
	name  string
	place []byte
	again func() error // reads it as everybody does, where that finds more; may be nil
}

// keysOf lists the keys of a kind in all shards.
func (s *Store) keysOf(ctx context.Context, kind string) (keys []string, err error) {
	if !strings.HasSuffix(kind, ":") {
		for shard := range store.Shards {
			keys = append(keys, prefix(shard)+kind)
		}
		return keys, nil
	}
	err = s.scanKeys(ctx, "duskdawn:{??}:"+kind+"*", func(found []string) error {
		keys = append(keys, found...)
		return nil
	})
	slices.Sort(keys)
	return slices.Compact(keys), err
}

// rowsOf gives every row of one key to do.
func (s *Store) rowsOf(ctx context.Context, prefix, kind, key string, do func(row) error) error {
	of := strings.TrimPrefix(key, kind)
	if kind == "diary:" || kind == "journal:" {
		n, read := 0, s.form.rows(of)
		for text, err := range entries(ctx, s, "reading a list", prefix+key, func(b []byte) (string, error) { return string(b), nil }) {
			if err != nil {
				return err
			}
			r := row{key: key, list: true, at: n, row: text, name: store.RowName(store.RowJournal, of, n+1), place: store.Place(store.RowJournal, of)}
			if kind == "diary:" {
				rev, blob, _ := strings.Cut(text, " ")
				r.lead, r.row, r.name, r.place = rev+" ", blob, store.RowName(store.RowDiary, of, n+1), store.Place(store.RowDiary, of)
				r.again = func() error { _, err := read([]byte(text)); return err }
			}
			if err := do(r); err != nil {
				return err
			}
			n++
		}
		return nil
	}
	var cmd *redis.MapStringStringCmd
	if err := s.read(ctx, "reading rows", func(p redis.Pipeliner) { cmd = p.HGetAll(ctx, prefix+key) }); err != nil {
		return err
	}
	fields := cmd.Val()
	one := func(field, name string, place []byte) error {
		if raw, ok := fields[field]; ok {
			return do(row{key: key, at: field, row: raw, name: name, place: place})
		}
		return nil
	}
	switch kind {
	case "agg:":
		rev, _ := strconv.ParseInt(fields["rev"], 10, 64) // one that is no number fits no body
		return errors.Join(one("body", store.RowName(store.RowBody, of), store.BodyPlace(of, rev)),
			one("journal", store.RowName(rowHead, of), store.Place(rowHead, of)))
	case "item:":
		return one("d", store.RowName(store.RowItem, of), store.Place(store.RowItem, of))
	case "meta":
		return one("secret", store.RowName(store.RowSecret), store.Place(store.RowSecret))
	}
	for field := range fields {
		name, place := store.RowName(store.RowTimer, of, field), store.Place(store.RowTimer, of, field)
		switch kind {
		case "sum":
			name, place = store.RowName(store.RowSummary, field), store.Place(store.RowSummary, field)
		case "aside":
			name, place = store.RowName(store.RowAside, field), store.Place(store.RowAside, field)
		case floodKey:
			name, place = store.RowName(store.RowFlood, field), store.FloodPlace(field)
		}
		if err := one(field, name, place); err != nil {
			return err
		}
	}
	return nil
}
