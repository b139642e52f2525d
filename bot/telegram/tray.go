package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"sync"
	"time"
)

// tray holds the updates taken and not yet acknowledged. Each chat's are
// handled in order, by one goroutine while there are any; a chat whose handler
// fails waits alone and holds up nobody else. Goroutines are kept for the next
// chat: the stack of a fresh one has to grow first.
type tray struct {
	ctx  context.Context
	o    PollOptions
	log  *slog.Logger
	hand chan struct{} // a token for each update handled at once
	next chan int64    // a chat for a goroutine that waits for one
	over chan struct{} // closed when no more come
	all  sync.WaitGroup

	mu    sync.Mutex
	known map[int64]bool // ids at or above the offset: false while open, true when handled
	left  int            // how many are open
	empty chan struct{}  // closed when none is
	chats map[int64][]item
	told  map[int64]bool  // of those open, the ones OnStuck was called for
	odd   map[string]bool // those without a number that were taken
}

// oddMost bounds how many are remembered that no number names.
const oddMost = 100

type item struct {
	update Update
	raw    json.RawMessage
	class  string // why it cannot be read; empty if it can
}

func newTray(ctx context.Context, o PollOptions, log *slog.Logger) *tray {
	t := &tray{ctx: ctx, o: o, log: log, hand: make(chan struct{}, o.Workers), next: make(chan int64),
		over:  make(chan struct{}),
		known: map[int64]bool{}, chats: map[int64][]item{}, odd: map[string]bool{}, told: map[int64]bool{}, empty: make(chan struct{})}
	close(t.empty)
	return t
}

// put hands out the updates of a batch that are not known yet and gives the
// newest id, or 0. An id below the offset is news too: after a quiet week the
// platform starts again at a random one.
func (t *tray) put(batch []json.RawMessage) (newest int64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, raw := range batch {
		u, err := Decode(raw)
		newest = max(newest, u.ID)
		if _, ok := t.known[u.ID]; ok || u.ID == 0 && t.odd[string(raw)] {
			continue
		}
		if u.ID == 0 { // it cannot be acknowledged, and so comes again with every answer
			if len(t.odd) >= oddMost {
				clear(t.odd)
			}
			t.odd[string(raw)] = true
		}
		i := item{update: u, raw: raw}
		if err != nil {
			i.class = err.Error()
		}
		if t.left == 0 {
			t.empty = make(chan struct{})
		}
		t.left++
		t.known[u.ID] = false
		queue, running := t.chats[u.Chat]
		t.chats[u.Chat] = append(queue, i)
		if !running {
			select {
			case t.next <- u.Chat:
			default:
				t.all.Add(1)
				go t.work(u.Chat)
			}
		}
	}
	return newest
}

// work handles one chat after another.
func (t *tray) work(chat int64) {
	defer t.all.Done()
	for {
		t.run(chat)
		select {
		case chat = <-t.next:
		case <-t.over:
			return
		}
	}
}

// run handles one chat's updates until there is none left.
func (t *tray) run(chat int64) {
	for {
		t.mu.Lock()
		queue := t.chats[chat]
		if len(queue) == 0 || t.ctx.Err() != nil {
			delete(t.chats, chat)
			t.mu.Unlock()
			return
		}
		next := queue[0]
		t.chats[chat] = queue[1:]
		t.mu.Unlock()
		if !t.handle(next) {
			continue // the context ended
		}
		t.mu.Lock()
		t.known[next.update.ID] = true
		delete(t.told, next.update.ID)
		if t.left--; t.left == 0 {
			close(t.empty)
		}
		t.mu.Unlock()
	}
}

// handle tries until it is done or the context ends.
func (t *tray) handle(i item) bool {
	for pause, tries := backOffMin, 1; ; pause, tries = min(2*pause, backOffMax), tries+1 {
		select {
		case t.hand <- struct{}{}:
		case <-t.ctx.Done():
			return false
		}
		err := t.try(i)
		<-t.hand
		if err == nil {
			return true
		}
		if t.ctx.Err() != nil {
			return false
		}
		if class := unfit(err, tries); class != "" && i.class == "" {
			i.class = class // it would hold up everybody: the platform hands out a hundred at a time
			continue
		}
		if tries >= stuckTries {
			t.stuck(i)
		}
		if tries&(tries-1) == 0 { // the 1st, 2nd, 4th ... time
			t.log.Error("update not handled", "update", i.update.ID, "tries", tries, "class", classOf(err))
		}
		for left := pause; left > 0 && t.ctx.Err() == nil; left -= stuckLook {
			sleep(t.ctx, min(left, stuckLook))
			if tries >= stuckTries {
				t.stuck(i)
			}
		}
	}
}

const (
	stuckTries = 3
	stuckLook  = 2 * time.Second // how often it is seen what waits behind an update that fails
)

// stuck tells of an update that fails, and of those behind it in its chat.
func (t *tray) stuck(i item) {
	if t.o.OnStuck == nil {
		return
	}
	t.mu.Lock()
	var news []Update
	for _, x := range append([]item{i}, t.chats[i.update.Chat]...) {
		if x.class == "" && !t.told[x.update.ID] {
			t.told[x.update.ID] = true
			news = append(news, x.update)
		}
	}
	t.mu.Unlock()
	for _, u := range news {
		tell(t.ctx, t.o.OnStuck, u)
	}
}

// tell calls what may not take the others with it.
func tell(ctx context.Context, of func(context.Context, Update), u Update) {
	defer func() { _ = recover() }() // the handler's own panics are told
	of(context.WithoutCancel(ctx), u)
}

// Unfit is an error of Handle that would be the same however often it is
// tried: the update is set aside, so that the others go on.
type Unfit struct{ Class string }

func (e Unfit) Error() string { return e.Class }

const (
	errPanicked = fault("handler panicked") // the value could hold a text
	mostPanics  = 60                        // half an hour and more
)

// classOf is all that may be said of a handler's error, whose text is not ours.
func classOf(err error) string {
	if err == errPanicked {
		return errPanicked.Error()
	}
	return "not committed"
}

// unfit gives the class of what is not to be tried again; empty for the rest.
func unfit(err error, tries int) string {
	var u Unfit
	switch {
	case errors.As(err, &u):
		return u.Class
	case err == errPanicked && tries >= mostPanics:
		return errPanicked.Error()
	}
	return ""
}

// try calls the handler. A commit that runs is not cut off by a stop: the
// context of a handler has no end of its own.
func (t *tray) try(i item) (err error) {
	defer func() {
		if recover() != nil {
			err = errPanicked
		}
	}()
	ctx := context.WithoutCancel(t.ctx)
	if i.class != "" {
		return t.o.SetAside(ctx, i.raw, i.class)
	}
	return t.o.Handle(ctx, i.update)
}

// settle waits until nothing is open, but no longer than d, and gives how many are.
func (t *tray) settle(ctx context.Context, d time.Duration) int {
	t.mu.Lock()
	empty := t.empty
	t.mu.Unlock()
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-empty:
	case <-timer.C:
	case <-ctx.Done():
	}
	return t.open()
}

func (t *tray) open() int {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.left
}

// lowest is the smallest id that is not handled.
func (t *tray) lowest() (low int64, ok bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for id, done := range t.known {
		if !done && (!ok || id < low) {
			low, ok = id, true
		}
	}
	for id := range t.known {
		if ok && id < low {
			delete(t.known, id) // acknowledged by the next request
		}
	}
	return low, ok
}

// forget drops the handled ids: the next request acknowledges them.
func (t *tray) forget() {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.left == 0 {
		clear(t.known)
	}
}

// wait returns when no handler runs any more; put is not called after it.
func (t *tray) wait() {
	close(t.over)
	t.all.Wait()
}
