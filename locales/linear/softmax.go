package linear

// Softmax turns the sums of the outputs into shares of 1.
func Softmax(out []float32) {
	most := out[0]
	for _, v := range out[1:] {
		most = max(most, v)
	}
	var all float32
	for i, v := range out {
		out[i] = exp(v - most)
		all += out[i]
	}
	for i := range out {
		out[i] /= all
	}
}

// exp is e to the power of x for x from -87 to 0, and 0 below. It is our own, each step rounded to float32, because
// weights must come out alike on every machine: by halving x to at most an eighth, a Taylor series of degree 7 (error
// below 1e-9 there) and squaring again.
func exp(x float32) float32 {
	if x < -87 {
		return 0
	}
	halved := 0
	for x < -0.125 {
		x /= 2
		halved++
	}
	y := float32(1)
	for i := 7; i > 0; i-- {
		y = 1 + float32(float32(x*y)/float32(i))
	}
	for range halved {
		y *= y
	}
	return y
}
