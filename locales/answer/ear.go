package answer

import (
	"duskdawn/locales/linear"
	"duskdawn/locales/matrix"
)

// The shape of an ear.
const (
	EarHidden = 80 // numbers that stand for what a token says amid those around it
	EarLayers = 3  // each hears wider
)

// EarPlaces are the places that each layer hears, from a token's own.
var EarPlaces = [EarLayers][]int{{-2, -1, 0, 1, 2}, {-1, 0, 1}, {-3, 0, 3}}

// Ear is a small convolutional net (Kim, EMNLP 2014, doi:10.3115/v1/D14-1181) of three layers, each of which hears a wider part of the
// text (Yu and Koltun, ICLR 2016, arXiv:1511.07122); a way is as likely as the word that says it most.
type Ear struct {
	Layers [EarLayers]Dense // of each the places one behind the other
	Token  Dense            // what a token says, with those around it
	Text   Dense            // what the whole text adds to it
}

// Dense is sums of all that is heard: for each output a bias, and for each number that is heard a row of weights, one for each output.
type Dense struct{ Weights, Bias []float32 }

// EarLayer is how many numbers a layer hears of one place.
func EarLayer(layer int) int {
	if layer == 0 {
		return TagDims
	}
	return EarHidden
}

func newEar() (e Ear) {
	for i := range e.Layers {
		e.Layers[i] = dense(EarLayer(i)*len(EarPlaces[i]), EarHidden)
	}
	e.Token, e.Text = dense(EarHidden, TagOut), dense(EarHidden, TagOut)
	return e
}

func dense(in, out int) Dense {
	return Dense{make([]float32, in*out), make([]float32, out)}
}

// EarPass is all that an ear makes of a text.
type EarPass struct {
	Embed  []float32            // what each token is
	Made   [EarLayers][]float32 // what each layer makes of it
	Hidden [EarLayers][]float32 // ... and of what the layer before made
	Top    []float32            // the most of each hidden number of the last layer, in all the text
	TopAt  []int                // at which token
	Sums   []float32            // of each token, TagOut numbers
	Text   []float32            // of the text
	WayAt  []int                // the token that says each way most
	Ways   []float32            // how likely each way is
	Roles  []float32            // how likely each role is, of one figure after another
}

// Run hears tokens. Whoever teaches changes what was made of them on the way: before layer 0 what they are, before layer i what
// the layer before made of it, and at last what the last one did.
func (e *Ear) Run(p *EarPass, tokens *Tokens, embed []float32, change func(layer int, values []float32)) {
	n := len(tokens.All)
	p.Embed = append(p.Embed[:0], embed...)
	before := p.Embed
	for l := range e.Layers {
		if change != nil {
			change(l, before)
		}
		e.layer(l, n, p, before)
		before = p.Hidden[l]
	}
	if change != nil {
		change(EarLayers, before)
	}
	p.Top, p.TopAt = Sized(p.Top, EarHidden), Sized(p.TopAt, EarHidden)
	for i := range n {
		for o, v := range before[i*EarHidden : (i+1)*EarHidden] {
			if v > p.Top[o] { // none is below 0
				p.Top[o], p.TopAt[o] = v, i
			}
		}
	}
	e.answer(p, tokens, before)
}

// Within is which of n tokens have another one so far from them: those from from to to.
func Within(n, off int) (from, to int) {
	return max(-off, 0), max(min(n-off, n), 0)
}

// layer makes of each token, and of those at its places, what is above 0; from the second on what the layer before made of it
// is added.
func (e *Ear) layer(l, n int, p *EarPass, before []float32) {
	d, size := &e.Layers[l], EarLayer(l)
	made := d.begin(n, p.Made[l])
	for k, off := range EarPlaces[l] {
		if from, to := Within(n, off); from < to {
			matrix.Add(made[from*EarHidden:], before[(from+off)*size:], d.Weights[k*size*EarHidden:], to-from, size, EarHidden)
		}
	}
	for i, v := range made {
		made[i] = max(v, 0)
	}
	p.Made[l], p.Hidden[l] = made, append(p.Hidden[l][:0], made...)
	if l > 0 {
		matrix.AddScaled(p.Hidden[l], 1, before)
	}
}

// answer makes shares of what the tokens and the text say.
func (e *Ear) answer(p *EarPass, tokens *Tokens, last []float32) {
	n, ways := len(tokens.All), int(NumWays)
	p.WayAt, p.Ways, p.Roles = Sized(p.WayAt, ways), Sized(p.Ways, ways), p.Roles[:0]
	p.Sums, p.Text = e.Token.begin(n, p.Sums), e.Text.begin(1, p.Text)
	matrix.Add(p.Sums, last, e.Token.Weights, n, EarHidden, TagOut)
	matrix.Add(p.Text, p.Top, e.Text.Weights, 1, EarHidden, TagOut)
	for i := range n {
		sums := p.Sums[i*TagOut : (i+1)*TagOut]
		for w, s := range sums[:ways] {
			if i == 0 || s > p.Ways[w] {
				p.Ways[w], p.WayAt[w] = s, i
			}
		}
		if tokens.All[i].Figure {
			p.Roles = append(p.Roles, sums[ways:]...)
			roles := p.Roles[len(p.Roles)-int(NumRoles):]
			matrix.AddScaled(roles, 1, p.Text[ways:])
			linear.Softmax(roles)
		}
	}
	matrix.AddScaled(p.Ways, 1, p.Text[:ways])
	for _, b := range wayBlocks {
		linear.Softmax(p.Ways[b.From:b.To])
	}
}

// begin begins the sums at n places with what they are where nothing is heard, in the memory of dst where it is large enough.
func (d *Dense) begin(n int, dst []float32) []float32 {
	dst = dst[:0]
	for range n {
		dst = append(dst, d.Bias...)
	}
	return dst
}
