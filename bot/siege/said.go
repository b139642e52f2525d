package siege

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"duskdawn/store"
)

// acknowledged is called when the platform may forget everything below an
// update: each must be in the store by then, whatever happens next.
func (g *Siege) acknowledged(offset int64) {
	g.mu.Lock()
	var check []said
	for _, s := range g.said {
		if !s.sure && (s.update < offset && !g.hook || s.update == offset-1) {
			check = append(check, s)
		}
	}
	g.mu.Unlock()
	kept := map[int64]bool{}
	for _, s := range check {
		if kept[s.update] = g.stored(s); !kept[s.update] {
			g.early.Add(1)
			g.t.Errorf("update %d was acknowledged and is not stored", s.update)
		}
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	for i := range g.said {
		g.said[i].sure = g.said[i].sure || kept[g.said[i].update]
	}
}

// all is what was said so far, to be read while an acknowledgement may still be looked at.
func (g *Siege) all() []said {
	g.mu.Lock()
	defer g.mu.Unlock()
	return slices.Clone(g.said)
}

// stored reports whether the event of what was said is committed. A store that is
// away is asked again until it is back.
func (g *Siege) stored(s said) bool {
	for end := time.Now().Add(2 * time.Minute); ; time.Sleep(100 * time.Millisecond) {
		is, err := g.known(s)
		if err == nil {
			return is
		}
		if time.Now().After(end) {
			g.t.Error(err)
			return false
		}
	}
}

func (g *Siege) known(s said) (bool, error) {
	if s.ref.Kind == store.Patient {
		for r, err := range g.store.Journal(context.Background(), s.ref) {
			if err != nil || r.Event == s.event {
				return err == nil, err
			}
		}
		return false, nil
	}
	err := g.store.Update(context.Background(), s.ref, s.event, time.Now(),
		func(store.Aggregate) (store.Change, error) { return store.Change{}, errLook })
	switch {
	case errors.Is(err, store.ErrSeen):
		return true, nil
	case errors.Is(err, errLook):
		return false, nil
	}
	return false, err
}

// send has a person do something, and remembers the event that must follow.
func (g *Siege) send(s said, act func() (id string, err error)) {
	g.mu.Lock()
	defer g.mu.Unlock()
	s.at = time.Now()
	id, err := act()
	if err != nil {
		return // a button or a key that went away
	}
	s.update = g.platform.LastUpdate()
	s.event = fmt.Sprintf("u/%d/%d/%s", s.update, s.user, id)
	g.said = append(g.said, s)
}

// errLook takes back an update that only looked.
var errLook = errors.New("only a look")

// said is something a person sent, and the event it must become.
type said struct {
	update int64
	ref    store.Ref
	event  string
	user   int64
	flag   bool // a red flag
	sure   bool // the event was found in the store
	at     time.Time
}
