package linear

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestWritten reads back what was written: every weight within an eighth, small ones gone.
func TestWritten(t *testing.T) {
	f := Form{Scale: OfWords, Rows: []Row{{Input: 3}, {Input: 200_000}, {Input: 200_001}}}
	f.Hash[7] = 9
	f.Bias[5] = -1.25
	f.Bars = Bars{0.75, 0.5, 0.25}
	for o := range Width {
		f.Rows[1].Weights[o] = float32(o)/10 - 2.5
	}
	f.Rows[2].Weights[51] = -0.5
	buf, err := f.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	n, hash, err := Open(buf)
	if err != nil {
		t.Fatal(err)
	}
	if hash != f.Hash || n.Bars != f.Bars || n.bias != f.Bias {
		t.Errorf("head: %v %v", hash, n.Bars)
	}
	for i := range f.Rows {
		r := &f.Rows[i]
		var sums Sums
		n.Add(&sums, r.Input)
		got := n.Outputs(&sums)
		for o, w := range r.Weights {
			if abs(w) < f.Scale.Least {
				w = 0
			}
			is := (got[o] - n.bias[o]) * math.Sqrt2
			if abs(is-w) > abs(w)/8+1e-3 {
				t.Errorf("input %d, output %d: %v was written as %v", r.Input, o, w, is)
			}
		}
	}
	if _, ok := n.Weights(4); ok {
		t.Error("an input that was not written is known")
	}
}

// TestDamaged cuts and changes the written form: an error or a net that can be asked, never a panic.
func TestDamaged(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	f := Form{Scale: OfAnswer}
	for id := uint32(0); id < 200; id++ {
		row := Row{Input: id * 997}
		for o := range row.Weights {
			row.Weights[o] = float32(r.NormFloat64())
		}
		f.Rows = append(f.Rows, row)
	}
	whole, err := f.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	refused, opened := 0, 0
	for range 300 {
		buf := append([]byte(nil), whole...)
		for range r.IntN(3) {
			buf[r.IntN(len(buf))] ^= byte(1 << r.IntN(8))
		}
		if r.IntN(3) == 0 {
			buf = buf[:r.IntN(len(buf))]
		}
		n, _, err := Open(buf)
		if err != nil {
			refused++
			continue
		}
		opened++
		var sums Sums
		for id := uint32(0); id < Dims; id += 7 {
			n.Add(&sums, id)
		}
		n.Outputs(&sums)
	}
	if refused == 0 || opened == 0 {
		t.Errorf("%d refused, %d opened", refused, opened)
	}
}

// TestExp is within what shares need.
func TestExp(t *testing.T) {
	for x := float32(0); x > -87; x -= 0.37 {
		if got, want := float64(exp(x)), math.Exp(float64(x)); math.Abs(got/want-1) > 2e-4 {
			t.Errorf("exp(%v) = %v, want %v", x, got, want)
		}
	}
	if exp(-100) != 0 || exp(0) != 1 {
		t.Errorf("at the ends: %v %v", exp(-100), exp(0))
	}
}
