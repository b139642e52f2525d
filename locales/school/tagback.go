package school

import (
	"slices"

	"duskdawn/locales/answer"

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
	b.sums = answer.Sized(b.sums, n*answer.TagOut)
	text := p.wrong(l)
	b.hidden = answer.Sized(b.hidden, n*answer.TagHidden)
	answer.AddScaled(p.text.bias.slope, 1, text[:])
	blas32.Ger(1, vector(pass.Top), vector(text[:]), answer.Rows(p.text.weights.slope, answer.TagHidden))
	var top [answer.TagHidden]float32
	blas32.Gemv(blas.NoTrans, 1, answer.Rows(p.Text.Weights, answer.TagHidden), vector(text[:]), 0, vector(top[:]))
	last := pass.Hidden[answer.TagLayers-1]
	for at, w := range b.sums { // few of them are wrong
		if w == 0 {
			continue
		}
		i, o := at/answer.TagOut, at%answer.TagOut
		p.token.learn(o, w, last[i*answer.TagHidden:(i+1)*answer.TagHidden], b.hidden[i*answer.TagHidden:(i+1)*answer.TagHidden])
	}
	for o, w := range top {
		b.hidden[pass.TopAt[o]*answer.TagHidden+o] += w
	}
	multiply(b.hidden, p.kept[answer.TagLayers])
	for layer := answer.TagLayers - 1; layer >= 0; layer-- {
		p.learnLayer(layer)
	}
	multiply(b.hidden, p.kept[0])
	for i := range n {
		if !p.unheard[i] {
			p.learnToken(i, b.hidden[i*answer.TagDims:(i+1)*answer.TagDims])
		}
	}
}

// wrong makes of the shares of a pass what is wrong with them: for each token, and for the text.
func (p *pupil) wrong(l *tagLesson) (text [answer.TagOut]float32) {
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
				b.sums[pass.WayAt[w]*answer.TagOut+w] = off
			}
		}
	}
	figure := 0
	for i := range pass.Tokens.All {
		if !pass.Tokens.All[i].Figure {
			continue
		}
		shares, roles := pass.Roles[figure*int(answer.NumRoles):(figure+1)*int(answer.NumRoles)], l.roles[figure]
		var all float32
		for _, r := range roles {
			all += shares[r]
		}
		for r, off := range shares {
			if slices.Contains(roles, r) {
				off -= off / max(all, 1e-6)
			}
			text[int(answer.NumWays)+r] += off
			b.sums[i*answer.TagOut+int(answer.NumWays)+r] = off
		}
		figure++
	}
	return text
}

// learnLayer adds to the slopes of a layer, and leaves what is wrong with what it heard.
func (p *pupil) learnLayer(layer int) {
	pass, b := &p.pass, &p.back
	n, size, places := len(pass.Tokens.All), answer.TagLayer(layer), answer.TagPlaces[layer]
	wide := size * len(places)
	l := &p.layers[layer]
	made := append(b.made[:0], b.hidden...)
	for i, v := range pass.Made[layer] {
		if v == 0 {
			made[i] = 0
		}
	}
	for i := range n {
		answer.AddScaled(l.bias.slope, 1, made[i*answer.TagHidden:(i+1)*answer.TagHidden])
	}
	b.made, b.before, b.heard = made, answer.Sized(b.before, n*size), answer.Sized(b.heard, n*wide)
	for i := range n {
		for o, w := range made[i*answer.TagHidden : (i+1)*answer.TagHidden] {
			if w != 0 {
				l.weights.learn(o, w, pass.Heard[layer][i*wide:(i+1)*wide], b.heard[i*wide:(i+1)*wide])
			}
		}
	}
	for i := range n {
		for k, off := range places {
			if j := i + off; j >= 0 && j < n {
				answer.AddScaled(b.before[j*size:(j+1)*size], 1, b.heard[i*wide+k*size:i*wide+(k+1)*size])
			}
		}
	}
	if layer > 0 {
		answer.AddScaled(b.before, 1, b.hidden)
	}
	b.hidden, b.before = b.before, b.hidden
}

// learnToken adds to the slopes of what a token is.
func (p *pupil) learnToken(i int, wrong []float32) {
	tokens := &p.pass.Tokens
	t := &tokens.All[i]
	add := func(rows []uint32, k float32) {
		for _, row := range rows {
			answer.AddScaled(p.embed.slope[row*answer.TagDims:(row+1)*answer.TagDims], k, wrong)
			p.touched = append(p.touched, row)
		}
	}
	add(tokens.Inputs[t.From:t.Letters], 1)
	add(tokens.Inputs[t.Letters:t.To], 1/float32(max(t.To-t.Letters, 1)))
}

// learn adds to the slope of an output what is wrong with it, and to what is wrong with what it heard.
func (a *across) learn(output int, wrong float32, heard, before []float32) {
	row := output * len(heard)
	blas32.Axpy(wrong, vector(heard), vector(a.slope[row:row+len(heard)]))
	blas32.Axpy(wrong, vector(a.weights[row:row+len(heard)]), vector(before))
}

func vector(numbers []float32) blas32.Vector {
	return blas32.Vector{N: len(numbers), Inc: 1, Data: numbers}
}

func multiply(values, by []float32) {
	for i := range values {
		values[i] *= by[i]
	}
}
