package sqlite_test

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/disk"
)

// Every commit that was acknowledged had been synced after its last write,
// whoever shared its transaction. A kill cannot show that: what a program wrote
// outlives it without any sync.
func TestEveryCommitIsSyncedBeforeItIsAcknowledged(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	if err := disk.Install(); err != nil {
		t.Fatal(err)
	}
	s := open(t, path)
	disk.Watch(path)
	commit := func(event string) error {
		return s.Update(context.Background(), store.Ref{Kind: store.Patient, ID: "07" + event}, event, time.Now(),
			func(store.Aggregate) (store.Change, error) {
				return store.Change{Body: []byte("body of " + event), Journal: []store.Record{{What: "said", Event: event}},
					Out: []store.Item{{ID: "07/" + event, Queue: "1", Lane: store.LaneReply, Body: []byte(event)}}}, nil
			})
	}
	for i := range 20 { // alone, the sync is the last thing that happened
		if err := commit(fmt.Sprintf("alone-%02d.", i)); err != nil {
			t.Fatal(err)
		}
		if notes := disk.Notes(path); len(notes) == 0 || !notes[len(notes)-1].Sync {
			t.Fatal("something was written after the last sync")
		}
	}
	acked := commits(t, commit, path)
	notes := disk.Notes(path)
	if unsafe := unsynced(notes, acked); len(unsafe) > 0 {
		t.Errorf("%d of %d commits were acknowledged and not synced, as %s", len(unsafe), len(acked), unsafe[0])
	}
	syncs := 0
	for _, n := range notes {
		if n.Sync {
			syncs++
		}
	}
	t.Logf("%d commits of 16 writers, %d syncs, %d writes", len(acked), syncs, len(notes)-syncs)
}

// The check sees a file that is not synced: the same writes with the engine told
// not to.
func TestAnUnsyncedCommitIsSeen(t *testing.T) {
	path := filepath.Join(t.TempDir(), "careless.db")
	if err := disk.Install(); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=journal_mode(WAL)&_pragma=synchronous(NORMAL)")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if _, err := db.Exec("CREATE TABLE x (y TEXT)"); err != nil {
		t.Fatal(err)
	}
	disk.Watch(path)
	acked := commits(t, func(event string) error {
		_, err := db.Exec("INSERT INTO x VALUES (?)", event)
		return err
	}, path)
	if unsafe := unsynced(disk.Notes(path), acked); len(unsafe) < len(acked)/2 {
		t.Errorf("of %d commits without a sync %d are seen", len(acked), len(unsafe))
	}
}

// commits makes many commits from many goroutines, and gives how many notes
// there were when each was acknowledged.
func commits(t *testing.T, commit func(event string) error, path string) map[string]int {
	t.Helper()
	var mu sync.Mutex
	acked := map[string]int{}
	var wg sync.WaitGroup
	for w := range 16 {
		wg.Go(func() {
			for i := range 40 {
				event := fmt.Sprintf("event-%02d-%02d.", w, i)
				if err := commit(event); err != nil {
					t.Error(err)
					return
				}
				n := disk.Len(path)
				mu.Lock()
				acked[event] = n
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	return acked
}

// unsynced lists the events that were acknowledged before a sync came after
// their last write until then.
func unsynced(notes []disk.Note, acked map[string]int) (out []string) {
	for event, n := range acked {
		wrote, safe := -1, false
		for i, x := range notes[:n] {
			switch {
			case !x.Sync && bytes.Contains(x.Data, []byte(event)) && wrote < 0:
				wrote = i // the first: its transaction; later ones only carry the page along
			case x.Sync && wrote >= 0:
				safe = true
			}
		}
		if wrote < 0 || !safe {
			out = append(out, event)
		}
	}
	return out
}
