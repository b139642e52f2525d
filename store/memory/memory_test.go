package memory_test

import (
	"testing"

	"duskdawn/store"
	"duskdawn/store/memory"
	"duskdawn/store/storetest"
)

func fresh(testing.TB) store.Store { return memory.New() }

func TestMemory(t *testing.T) {
	storetest.Run(t, storetest.Backend{Open: fresh,
		Rows: func(_ testing.TB, s store.Store) storetest.Rows { return s.(*memory.Store) }})
}

func BenchmarkMemory(b *testing.B) { storetest.Bench(b, fresh) }

func BenchmarkPass(b *testing.B) { storetest.BenchPass(b, fresh, 10_000, 1_000_000) }
