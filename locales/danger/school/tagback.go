package school

import (
	"slices"

	"duskdawn/locales/danger"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
)

// backward is room for what is wrong with what a pass made, from its end to its beginning.
type backward struct {
	sums, hidden, made, before, heard []float32
}

// learn adds to the slopes what is wrong with a pass that heard a lesson.
func (p *pupil) learn(l *tagLesson) {
	pass, b := &p.pass, &p.back
	n := len(pass.Tokens.All)
	b.sums = zeros(b.sums, n*danger.TagOut)
	text := p.wrong(l)
	b.hidden = zeros(b.hidden, n*danger.TagHidden)
	danger.AddScaled(p.text.bias.slope, 1, text[:])
	blas32.Ger(1, vector(pass.Top), vector(text[:]), danger.Rows(p.text.weights.slope, danger.TagHidden))
	var top [danger.TagHidden]float32
	blas32.Gemv(blas.NoTrans, 1, danger.Rows(p.Text.Weights, danger.TagHidden), vector(text[:]), 0, vector(top[:]))
	last := pass.Hidden[danger.TagLayers-1]
	for at, w := range b.sums { // few of them are wrong
		if w == 0 {
			continue
		}
		i, o := at/danger.TagOut, at%danger.TagOut
		for k := range danger.TagHidden {
			p.token.slope[k*danger.TagOut+o] += float32(w * last[i*danger.TagHidden+k])
			b.hidden[i*danger.TagHidden+k] += float32(w * p.token.weights[k*danger.TagOut+o])
		}
	}
	for o, w := range top {
		b.hidden[pass.TopAt[o]*danger.TagHidden+o] += w
	}
	multiply(b.hidden, p.kept[danger.TagLayers])
	for layer := danger.TagLayers - 1; layer >= 0; layer-- {
		p.learnLayer(layer)
	}
	multiply(b.hidden, p.kept[0])
	for i := range n {
		if !p.unheard[i] {
			p.learnToken(i, b.hidden[i*danger.TagDims:(i+1)*danger.TagDims])
		}
	}
}

// wrong makes of the shares of a pass what is wrong with them: for each token, and for the text.
func (p *pupil) wrong(l *tagLesson) (text [danger.TagOut]float32) {
	pass, b := &p.pass, &p.back
	for i, block := range p.blocks {
		if l.ways[i] < 0 {
			continue
		}
		for w := block.From; w < block.To; w++ {
			off := pass.Ways[w]
			if w == l.ways[i] {
				off--
			}
			if off > rightEnough || off < -rightEnough {
				text[w] = off
				b.sums[pass.WayAt[w]*danger.TagOut+w] = off
			}
		}
	}
	figure := 0
	for i := range pass.Tokens.All {
		if !pass.Tokens.All[i].Figure {
			continue
		}
		shares, roles := pass.Roles[figure*int(danger.NumRoles):(figure+1)*int(danger.NumRoles)], l.roles[figure]
		var all float32
		for _, r := range roles {
			all += shares[r]
		}
		for r, off := range shares {
			if slices.Contains(roles, r) {
				off -= off / max(all, 1e-6)
			}
			text[int(danger.NumWays)+r] += off
			b.sums[i*danger.TagOut+int(danger.NumWays)+r] = off
		}
		figure++
	}
	return text
}

// learnLayer adds to the slopes of a layer, and leaves what is wrong with what it heard.
func (p *pupil) learnLayer(layer int) {
	pass, b := &p.pass, &p.back
	n, size, places := len(pass.Tokens.All), danger.TagLayer(layer), danger.TagPlaces[layer]
	wide := size * len(places)
	l := &p.layers[layer]
	made := append(b.made[:0], b.hidden...)
	for i, v := range pass.Made[layer] {
		if v == 0 {
			made[i] = 0
		}
	}
	for i := range n {
		danger.AddScaled(l.bias.slope, 1, made[i*danger.TagHidden:(i+1)*danger.TagHidden])
	}
	b.made, b.before, b.heard = made, zeros(b.before, n*size), zeros(b.heard, n*wide)
	blas32.Gemm(blas.Trans, blas.NoTrans, 1, danger.Rows(pass.Heard[layer], n), danger.Rows(made, n), 1, danger.Rows(l.weights.slope, wide))
	blas32.Gemm(blas.NoTrans, blas.Trans, 1, danger.Rows(made, n), danger.Rows(l.weights.weights, wide), 0, danger.Rows(b.heard, n))
	for i := range n {
		for k, off := range places {
			if j := i + off; j >= 0 && j < n {
				danger.AddScaled(b.before[j*size:(j+1)*size], 1, b.heard[i*wide+k*size:i*wide+(k+1)*size])
			}
		}
	}
	if layer > 0 {
		danger.AddScaled(b.before, 1, b.hidden)
	}
	b.hidden, b.before = b.before, b.hidden
}

// learnToken adds to the slopes of what a token is.
func (p *pupil) learnToken(i int, wrong []float32) {
	tokens := &p.pass.Tokens
	t := &tokens.All[i]
	add := func(rows []uint32, k float32) {
		for _, row := range rows {
			danger.AddScaled(p.embed.slope[row*danger.TagDims:(row+1)*danger.TagDims], k, wrong)
			p.touched = append(p.touched, row)
		}
	}
	add(tokens.Inputs[t.From:t.Letters], 1)
	add(tokens.Inputs[t.Letters:t.To], 1/float32(max(t.To-t.Letters, 1)))
}

func vector(numbers []float32) blas32.Vector {
	return blas32.Vector{N: len(numbers), Inc: 1, Data: numbers}
}

func multiply(values, by []float32) {
	for i := range values {
		values[i] *= by[i]
	}
}

// zeros is a slice of n zeros, in the same memory where it is large enough.
func zeros(s []float32, n int) []float32 {
	if cap(s) < n {
		return make([]float32, n)
	}
	s = s[:n]
	clear(s)
	return s
}
