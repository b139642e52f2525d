package answer

import (
	"duskdawn/locales/linear"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
)

// A tagger hears a text in the order of its words: what stands around a word decides what it says, not what else the text
// tells of. It hears which question each figure answers, and in which way each question is answered. It is a small
// convolutional net (Kim, EMNLP 2014, doi:10.3115/v1/D14-1181) of three layers, each of which hears a wider part of the text (Yu and Koltun,
// ICLR 2016, arXiv:1511.07122); a way is as likely as the word that says it most.

// The shape of a tagger.
const (
	TagDims   = 40                           // numbers that stand for what a token is
	TagHidden = 80                           // ... for what a token says amid those around it
	TagLayers = 3                            // each hears wider
	TagOut    = int(NumWays) + int(NumRoles) // ways, then roles of figures
)

// TagPlaces are the places that each layer hears, from a token's own.
var TagPlaces = [TagLayers][]int{{-2, -1, 0, 1, 2}, {-1, 0, 1}, {-3, 0, 3}}

// Tagger is the weights of a tagger. It never changes and may be used by any number of goroutines.
type Tagger struct {
	Rows   map[uint32]uint32 // the row of each input that it knows
	Embed  []float32         // TagDims numbers a row
	Layers [TagLayers]Dense
	Token  Dense // what a token says, with those around it
	Text   Dense // what the whole text adds to it
}

// Dense is sums of all that is heard: for each output a bias, and for each number that is heard a row of weights, one for each output.
type Dense struct{ Weights, Bias []float32 }

// TagLayer is how many numbers a layer hears of one place.
func TagLayer(layer int) int {
	if layer == 0 {
		return TagDims
	}
	return TagHidden
}

// NewTagger is a tagger of these inputs whose weights are all 0.
func NewTagger(inputs []uint32) *Tagger {
	t := &Tagger{Rows: make(map[uint32]uint32, len(inputs)), Embed: make([]float32, len(inputs)*TagDims)}
	for row, id := range inputs {
		t.Rows[id] = uint32(row)
	}
	for i := range t.Layers {
		t.Layers[i] = dense(TagLayer(i)*len(TagPlaces[i]), TagHidden)
	}
	t.Token, t.Text = dense(TagHidden, TagOut), dense(TagHidden, TagOut)
	return t
}

func dense(in, out int) Dense {
	return Dense{make([]float32, in*out), make([]float32, out)}
}

// Pass is all that a tagger makes of a text.
type Pass struct {
	Tokens Tokens
	Embed  []float32            // of each token
	Heard  [TagLayers][]float32 // what each layer hears at each token, place by place
	Made   [TagLayers][]float32 // what it makes of that
	Hidden [TagLayers][]float32 // ... and of what the layer before made
	Top    []float32            // the most of each hidden number of the last layer, in all the text
	TopAt  []int                // at which token
	Sums   []float32            // of each token, TagOut numbers
	Text   []float32            // of the text
	WayAt  []int                // the token that says each way most
	Ways   []float32            // how likely each way is
	Roles  []float32            // how likely each role is, of one figure after another
}

// Sized is a slice of n zeros, in the same memory where it is large enough.
func Sized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// Run hears the tokens of a pass, whose inputs are rows. Whoever teaches changes what was made of them on the way: before
// layer 0 what they are, before layer i what the layer before made of it, and at last what the last one did.
func (t *Tagger) Run(p *Pass, change func(layer int, values []float32)) {
	n := len(p.Tokens.All)
	p.Embed = Sized(p.Embed, n*TagDims)
	for i := range n {
		t.embed(&p.Tokens, i, p.Embed[i*TagDims:(i+1)*TagDims])
	}
	before, size := p.Embed, TagDims
	for l := range t.Layers {
		if change != nil {
			change(l, before)
		}
		t.layer(l, p, before, size)
		before, size = p.Hidden[l], TagHidden
	}
	if change != nil {
		change(TagLayers, before)
	}
	p.Top, p.TopAt = Sized(p.Top, TagHidden), Sized(p.TopAt, TagHidden)
	for i := range n {
		for o, v := range before[i*TagHidden : (i+1)*TagHidden] {
			if v > p.Top[o] { // none is below 0
				p.Top[o], p.TopAt[o] = v, i
			}
		}
	}
	t.answer(p, before)
}

// embed adds up what is known of a token: what it is, and the mean of its letters.
func (t *Tagger) embed(tokens *Tokens, i int, out []float32) {
	token := &tokens.All[i]
	for _, row := range tokens.Inputs[token.From:token.Letters] {
		AddScaled(out, 1, t.Embed[row*TagDims:(row+1)*TagDims])
	}
	part := 1 / float32(max(token.To-token.Letters, 1))
	for _, row := range tokens.Inputs[token.Letters:token.To] {
		AddScaled(out, part, t.Embed[row*TagDims:(row+1)*TagDims])
	}
}

// layer makes of each token, and of those at its places, what is above 0; from the second on what the layer before made of it
// is added.
func (t *Tagger) layer(l int, p *Pass, before []float32, size int) {
	n, places := len(p.Tokens.All), TagPlaces[l]
	wide := size * len(places)
	p.Heard[l] = Sized(p.Heard[l], n*wide)
	for i := range n {
		heard := p.Heard[l][i*wide : (i+1)*wide]
		for k, off := range places {
			if j := i + off; j >= 0 && j < n {
				copy(heard[k*size:], before[j*size:(j+1)*size])
			}
		}
	}
	p.Made[l] = t.Layers[l].sums(p.Heard[l], n, p.Made[l])
	for i, v := range p.Made[l] {
		p.Made[l][i] = max(v, 0)
	}
	p.Hidden[l] = append(p.Hidden[l][:0], p.Made[l]...)
	if l > 0 {
		AddScaled(p.Hidden[l], 1, before)
	}
}

// answer makes shares of what the tokens and the text say.
func (t *Tagger) answer(p *Pass, last []float32) {
	n, ways := len(p.Tokens.All), int(NumWays)
	p.WayAt, p.Ways, p.Roles = Sized(p.WayAt, ways), Sized(p.Ways, ways), p.Roles[:0]
	p.Sums, p.Text = t.Token.sums(last, n, p.Sums), t.Text.sums(p.Top, 1, p.Text)
	for i := range n {
		sums := p.Sums[i*TagOut : (i+1)*TagOut]
		for w, s := range sums[:ways] {
			if i == 0 || s > p.Ways[w] {
				p.Ways[w], p.WayAt[w] = s, i
			}
		}
		if p.Tokens.All[i].Figure {
			p.Roles = append(p.Roles, sums[ways:]...)
			roles := p.Roles[len(p.Roles)-int(NumRoles):]
			AddScaled(roles, 1, p.Text[ways:])
			linear.Softmax(roles)
		}
	}
	AddScaled(p.Ways, 1, p.Text[:ways])
	for _, b := range wayBlocks {
		linear.Softmax(p.Ways[b.From:b.To])
	}
}

// sums are those of what is heard at each of n places, in the memory of dst where it is large enough.
func (d *Dense) sums(heard []float32, n int, dst []float32) []float32 {
	dst = dst[:0]
	for range n {
		dst = append(dst, d.Bias...)
	}
	blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, Rows(heard, n), Rows(d.Weights, len(d.Weights)/len(d.Bias)), 1, Rows(dst, n))
	return dst
}

// Rows are numbers in n rows.
func Rows(numbers []float32, n int) blas32.General {
	return blas32.General{Rows: n, Cols: len(numbers) / n, Stride: len(numbers) / n, Data: numbers}
}

// AddScaled adds k times each of some numbers to those of out.
func AddScaled(out []float32, k float32, numbers []float32) {
	out = out[:len(numbers)]
	for i, v := range numbers {
		out[i] += float32(k * v)
	}
}
