package sqlite_test

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// write commits one more byte to a body and gives the revision that it has then.
func write(s store.Store, ref store.Ref, event string) (rev int64, err error) {
	err = s.Update(context.Background(), ref, event, time.Now(), func(a store.Aggregate) (store.Change, error) {
		rev = a.Rev + 1
		return store.Change{Body: append(a.Body, 'x')}, nil
	})
	return rev, err
}

// Who has committed reads it, whoever else writes and reads meanwhile, and a
// commit that failed is never read.
func TestReadsWhatItCommitted(t *testing.T) {
	s := openWith(t, sqlite.Options{Path: filepath.Join(t.TempDir(), "store.db"), Lock: true})
	if err := s.Update(t.Context(), store.Ref{Kind: store.Patient, ID: "07own"}, "own", time.Now(),
		func(store.Aggregate) (store.Change, error) {
			return store.Change{Own: []string{"07key"}}, nil
		}); err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	for w := range 16 {
		all.Go(func() {
			ref := store.Ref{Kind: store.Patient, ID: fmt.Sprint("07ann", w%4)}
			var last int64
			for i := range 150 {
				event := fmt.Sprint(w, "/", i)
				if i%10 == 9 { // written, and taken back: its group runs again, each apart
					if err := s.Update(t.Context(), ref, event, time.Now(), func(store.Aggregate) (store.Change, error) {
						return store.Change{Body: []byte("never"), Own: []string{"07key"}}, nil
					}); !errors.Is(err, store.ErrTaken) {
						t.Error("taken from another: ", err)
					}
				}
				rev, err := write(s, ref, event+"/x")
				if err != nil {
					t.Error(err)
					return
				}
				a, err := s.Get(t.Context(), ref)
				if err != nil || a.Rev < rev || a.Rev < last || strings.Contains(string(a.Body), "never") ||
					int64(len(a.Body)) != a.Rev {
					t.Errorf("revision %d of %d bytes, after %d and %d: %v", a.Rev, len(a.Body), last, rev, err)
					return
				}
				last = a.Rev
			}
		})
	}
	all.Wait()
}

// What another handle commits is read a moment later.
func TestReadsWhatOthersCommit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	s, other := openWith(t, sqlite.Options{Path: path, Lock: true}), open(t, path)
	ann, bob := store.Ref{Kind: store.Patient, ID: "07ann"}, store.Ref{Kind: store.Patient, ID: "07bob"}
	for i := range 30 {
		if _, err := write(s, ann, fmt.Sprint("a", i)); err != nil {
			t.Fatal(err)
		}
		rev, err := write(other, ann, fmt.Sprint("b", i))
		if err != nil {
			t.Fatal(err)
		}
		if i%2 == 0 {
			time.Sleep(20 * time.Millisecond) // longer than a look is trusted
		} else if _, err := write(s, bob, fmt.Sprint("c", i)); err != nil { // looks
			t.Fatal(err)
		}
		if a, err := s.Get(t.Context(), ann); err != nil || a.Rev != rev {
			t.Fatalf("revision %d, not %d: %v", a.Rev, rev, err)
		}
	}
}
