package matrix

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
)

func some(r *rand.Rand, n int) []float32 {
	all := make([]float32, n)
	for i := range all {
		all[i] = float32(r.NormFloat64())
	}
	return all
}

func rows(numbers []float32, n int) blas32.General {
	return blas32.General{Rows: n, Cols: len(numbers) / n, Stride: len(numbers) / n, Data: numbers}
}

// TestAdd holds both products to those of gonum, for every shape that tiles and what is left beside them may have, and every bit to what
// is added up number by number.
func TestAdd(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{1, 2, 3, 8, 15} {
		for _, k := range []int{1, 2, 7, 80} {
			for _, m := range []int{1, 7, 8, 9, 39, 40, 41, 80, 86, 200} {
				a, b, was := some(r, n*k), some(r, k*m), some(r, n*m+1) // the last one is to stay
				turned := make([]float32, n*k)
				for i := range n {
					for j := range k {
						turned[j*n+i] = a[i*k+j]
					}
				}
				want, exact := append([]float32(nil), was...), append([]float32(nil), was...)
				blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, rows(a, n), rows(b, k), 1, rows(want[:n*m], n))
				for i := range n {
					for j := range k {
						for o := range m {
							exact[i*m+o] += float32(a[i*k+j] * b[j*m+o])
						}
					}
				}
				one, two := append([]float32(nil), was...), append([]float32(nil), was...)
				Add(one, a, b, n, k, m)
				AddTurned(two, turned, b, n, k, m)
				for i := range was {
					if math.Abs(float64(one[i]-want[i])) > 1e-3 || one[i] != exact[i] || two[i] != exact[i] {
						t.Fatalf("%d x %d x %d, number %d: %v and %v, want %v, of gonum %v", n, k, m, i, one[i], two[i], exact[i], want[i])
					}
				}
			}
		}
	}
}

// TestAddScaled holds every length to the plain loop, bit by bit, and leaves what stands behind.
func TestAddScaled(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for n := range 130 {
		numbers, was := some(r, n), some(r, n+1)
		out := append([]float32(nil), was...)
		AddScaled(out, 0.7, numbers)
		for i := range was {
			want := was[i]
			if i < n {
				want += float32(0.7 * numbers[i])
			}
			if out[i] != want {
				t.Fatalf("%d numbers, number %d: %v, want %v", n, i, out[i], want)
			}
		}
	}
}

// TestAddNothing leaves what is there, and refuses what is too short before it reads or writes beside it.
func TestAddNothing(t *testing.T) {
	out := []float32{1}
	Add(out, nil, []float32{1}, 0, 1, 1)
	Add(out, nil, nil, 1, 0, 1)
	if out[0] != 1 {
		t.Error(out)
	}
	for i, c := range [][3]int{{79, 80, 6400}, {80, 79, 6400}, {80, 80, 6399}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("case %d was taken", i)
				}
			}()
			Add(make([]float32, c[0]), make([]float32, c[1]), make([]float32, c[2]), 1, 80, 80)
		}()
	}
}

// BenchmarkAdd compares a layer of a sentence with gonum's product, half of whose numbers it may pass over because they are 0.
func BenchmarkAdd(b *testing.B) {
	const n, k, m = 15, 240, 80
	r := rand.New(rand.NewPCG(1, 2))
	out, x, y := some(r, n*m), some(r, n*k), some(r, k*m)
	for i := range x {
		x[i] = max(x[i], 0)
	}
	for name, f := range map[string]func(){
		"ours":  func() { Add(out, x, y, n, k, m) },
		"gonum": func() { blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, rows(x, n), rows(y, k), 1, rows(out, n)) },
	} {
		b.Run(fmt.Sprint(name), func(b *testing.B) {
			for b.Loop() {
				f()
			}
		})
	}
}
