package estimate

import "testing"

// What an estimate costs, beside the weighing of the curves once.
func BenchmarkRespond(b *testing.B) {
	at := walk(2, 4)
	scores := make([]int, len(at))
	for i := range scores {
		scores[i] = []int{8, 7, 6, 5}[int(at[i])/3] + i%3 - 1
	}
	r := course(5.6, at, scores)
	if no := r.Respond().No; no != "" {
		b.Fatal(no)
	}
	rows, _ := r.rows()
	pools := r.pools(rows)
	b.Run("estimate", func(b *testing.B) {
		for b.Loop() {
			r.Respond()
		}
	})
	b.Run("weighing", func(b *testing.B) {
		for b.Loop() {
			posterior(5.6, pools)
		}
	})
}
