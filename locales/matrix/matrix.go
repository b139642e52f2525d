// Package matrix multiplies small matrices of float32 whose rows stand one behind the other in a slice. Each sum is added up in the same
// order and rounded at each step, on every machine: what is taught comes out alike.
package matrix

// Add adds to out (n rows of m numbers) the product of a (n rows of k) and b (k rows of m).
func Add(out, a, b []float32, n, k, m int) { add(out, a, b, n, k, m, k, 1) }

// AddTurned does so where a stands the other way round: in k rows of n.
func AddTurned(out, a, b []float32, n, k, m int) { add(out, a, b, n, k, m, 1, n) }

// The machine adds up tiles: so many numbers of a row at once, and of what is left of it so many (tile_amd64.s).
const (
	tile = 40
	part = 8
)

// masks let so many numbers of a part through.
var masks = func() (all [part + 1][part]int32) {
	for n := range all {
		for i := range n {
			all[n][i] = -1
		}
	}
	return all
}()

// add adds where the numbers of a that stand below one another are row apart, those beside one another step.
func add(out, a, b []float32, n, k, m, row, step int) {
	if n == 0 || k == 0 || m == 0 {
		return
	}
	out, a, b = out[:n*m], a[:(n-1)*row+(k-1)*step+1], b[:k*m]
	if !tiles {
		for i := range n {
			for j := range k {
				AddScaled(out[i*m:(i+1)*m], a[i*row+j*step], b[j*m:(j+1)*m])
			}
		}
		return
	}
	at := 0
	for ; at+tile <= m; at += tile {
		i := 0
		for ; i+1 < n; i += 2 {
			tileTwo(&out[i*m+at], &out[(i+1)*m+at], &a[i*row], &a[(i+1)*row], 4*step, &b[at], 4*m, k)
		}
		if i < n {
			tileOne(&out[i*m+at], &a[i*row], 4*step, &b[at], 4*m, k)
		}
	}
	for ; at < m; at += part {
		for i := range n {
			tilePart(&out[i*m+at], &a[i*row], 4*step, &b[at], 4*m, k, &masks[min(m-at, part)])
		}
	}
}

// AddScaled adds k times each of some numbers to those of out.
func AddScaled(out []float32, k float32, numbers []float32) {
	out = out[:len(numbers)]
	for ; tiles && len(numbers) >= tile; out, numbers = out[tile:], numbers[tile:] {
		tileOne(&out[0], &k, 0, &numbers[0], 0, 1)
	}
	for i, v := range numbers {
		out[i] += float32(k * v)
	}
}
