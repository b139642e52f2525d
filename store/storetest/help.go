package storetest

import (
	"errors"
	"iter"
	"reflect"
	"sync"
	"testing"
	"time"

	"duskdawn/store"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// start is where the suite's clock begins.
var start = time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)

// Three patients in different shards, a chat and the practice.
var (
	ann      = store.Ref{Kind: store.Patient, ID: "07ann"}
	ben      = store.Ref{Kind: store.Patient, ID: "07ben"}
	cyd      = store.Ref{Kind: store.Patient, ID: "63cyd"}
	chat     = store.Ref{Kind: store.Chat, ID: "12:4711"}
	practice = store.Ref{Kind: store.Practice, ID: "00practice"}
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// is fails unless err is exactly that sentinel.
func is(t testing.TB, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Fatalf("error %v, want %v", err, want)
	}
}

// same fails unless both are deeply equal; nil and empty are, and nil wants nothing in a list.
func same(t testing.TB, what string, got, want any) {
	t.Helper()
	if want == nil {
		if reflect.ValueOf(got).Len() > 0 {
			t.Fatalf("%s: %v, want nothing", what, got)
		}
		return
	}
	if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
		t.Fatalf("%s (-want +got):\n%s", what, d)
	}
}

// parallel runs f n times at once and waits.
func parallel(n int, f func()) {
	var wg sync.WaitGroup
	for range n {
		wg.Go(f)
	}
	wg.Wait()
}

// collect reads a sequence to its end.
func collect[T any](t testing.TB, seq iter.Seq2[T, error]) []T {
	t.Helper()
	var out []T
	for v, err := range seq {
		must(t, err)
		out = append(out, v)
	}
	return out
}
