package answer

import (
	"math"
	"math/rand/v2"
	"testing"

	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
)

// TestTokens cuts a text into words, figures and marks.
func TestTokens(t *testing.T) {
	for text, want := range map[string]string{
		"pain 3, snoring two":   "w#,w#",
		"out at 3:30!":          "ww#!",
		"twenty five minutes":   "#w",
		"7h/4":                  "#/#",
		"left-4 (right: 12345)": "w-#(w:w)",
		"":                      "",
	} {
		tokens, figures, _, ok, err := TokensOf(fold.Text(nil, text))
		if err != nil || !ok {
			t.Fatal(text, ok, err)
		}
		got, numbers, last := "", 0, int32(0)
		for _, token := range tokens.All {
			if token.From != last || token.Letters <= token.From || token.To < token.Letters {
				t.Errorf("%q: %+v", text, token)
			}
			last = token.To
			switch {
			case token.Figure:
				got += "#"
				numbers++
			case token.To > token.Letters || tokens.Inputs[token.From] == linear.Settle(linear.Mix(linear.Seed(tokenDigits), []byte{5})):
				got += "w"
			default:
				for _, mark := range marks {
					if tokens.Inputs[token.From] == linear.Settle(linear.Mix(linear.Seed(tokenMark), []byte(string(mark)))) {
						got += string(mark)
					}
				}
			}
		}
		if got != want || numbers != len(figures) || int(last) != len(tokens.Inputs) {
			t.Errorf("%q: %s, want %s; %d of %d figures", text, got, want, numbers, len(figures))
		}
	}
}

// TestKnow keeps of every token what a tagger knows of it.
func TestKnow(t *testing.T) {
	tokens := Tokens{Inputs: []uint32{5, 6, 7, 8, 9}, All: []Token{{0, 1, 3, false}, {3, 5, 5, true}}}
	tokens.Know(map[uint32]uint32{5: 1, 7: 0, 9: 2})
	if tokens.All[0] != (Token{0, 1, 2, false}) || tokens.All[1] != (Token{2, 3, 3, true}) || len(tokens.Inputs) != 3 ||
		tokens.Inputs[0] != 1 || tokens.Inputs[1] != 0 || tokens.Inputs[2] != 2 {
		t.Errorf("%+v", tokens)
	}
}

func load(t testing.TB) *Net {
	t.Helper()
	n, _, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// someTagger is a tagger of random weights.
func someTagger(r *rand.Rand) *Tagger {
	t := NewTagger([]uint32{3, 70_000, 140_000, linear.Dims - 1})
	for _, weights := range append(t.weights(), t.Embed) {
		for i := range weights {
			weights[i] = float32(r.NormFloat64()) / 4
		}
	}
	return t
}

// TestTaggerWritten reads back what was written: every weight within half a step.
func TestTaggerWritten(t *testing.T) {
	was := someTagger(rand.New(rand.NewPCG(1, 2)))
	buf, err := was.Bytes([32]byte{7: 9})
	if err != nil {
		t.Fatal(err)
	}
	is, hash, err := OpenTagger(buf)
	if err != nil || hash != [32]byte{7: 9} || len(is.Rows) != len(was.Rows) {
		t.Fatal(hash, err)
	}
	for id, row := range was.Rows {
		for i, w := range was.Embed[row*TagDims : (row+1)*TagDims] {
			if got := is.Embed[is.Rows[id]*TagDims+uint32(i)]; math.Abs(float64(got-w)) > embedStep/2+1e-6 {
				t.Errorf("input %d: %v was written as %v", id, w, got)
			}
		}
	}
	for i, weights := range was.weights() {
		for j, w := range weights {
			if got := is.weights()[i][j]; math.Abs(float64(got-w)) > float64(stepOf(weights))/2+1e-6 {
				t.Errorf("%d: %v was written as %v", i, w, got)
			}
		}
	}
}

// TestTaggerDamaged cuts and changes the written form: an error or a tagger that can be asked, never a panic.
func TestTaggerDamaged(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	whole, err := someTagger(r).Bytes([32]byte{})
	if err != nil {
		t.Fatal(err)
	}
	refused := 0
	for range 200 {
		buf := append([]byte(nil), whole[:r.IntN(len(whole))]...)
		if r.IntN(2) == 0 {
			buf = append([]byte(nil), whole...)
		}
		for range r.IntN(4) {
			if len(buf) > 0 {
				buf[r.IntN(min(len(buf), 200))] ^= byte(1 << r.IntN(8))
			}
		}
		tagger, _, err := OpenTagger(buf)
		if err != nil {
			refused++
			continue
		}
		n, err := New(tagger, load(t).verdicts)
		if err != nil {
			t.Fatal(err)
		}
		n.Tag([]byte("pain 3, i did not wear it"))
	}
	if refused == 0 {
		t.Error("nothing was refused")
	}
}

// TestTagAnything gives it any bytes: shares are shares, and what is too long is not heard.
func TestTagAnything(t *testing.T) {
	n := load(t)
	r := rand.New(rand.NewPCG(5, 6))
	for size := 1; size < 1<<14; size *= 2 {
		b := make([]byte, size)
		for i := range b {
			b[i] = "abc 3 , 4"[r.IntN(9)]
			if r.IntN(9) == 0 {
				b[i] = byte(r.Uint32())
			}
		}
		tags := n.Tag(b)
		for w, s := range tags.Way {
			if !(s >= 0 && s <= 1) {
				t.Fatalf("%d bytes: way %d %v", size, w, s)
			}
		}
		for i := range tags.Figures {
			all := 0.0
			for _, s := range tags.Figures[i].Share {
				all += float64(s)
			}
			if math.Abs(all-1) > 1e-3 {
				t.Fatalf("%d bytes: the roles of figure %d make %v", size, i, all)
			}
		}
	}
}

// TestEars holds what a tagger hears to the mean of its ears, computed anew from their weights: places by places.
func TestEars(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	tagger := someTagger(r)
	for n := 1; n < 9; n++ {
		var p Pass
		for i := range n {
			p.Tokens.Inputs = append(p.Tokens.Inputs, uint32(r.IntN(4)), uint32(r.IntN(4)), uint32(r.IntN(4)))
			p.Tokens.All = append(p.Tokens.All, Token{int32(3 * i), int32(3*i + 1), int32(3*i + 3), true})
		}
		tagger.Run(&p)
		var roles, ways [TagOut]float64
		for e := range tagger.Ears {
			sums := slowEar(&tagger.Ears[e], n, func(i int) float64 { return float64(p.Embed[i]) })
			for w, block := 0, 0; w < int(NumWays); w++ {
				for w >= wayBlocks[block].To {
					block++
				}
				var most [NumWays]float64
				all := 0.0
				for v := wayBlocks[block].From; v < wayBlocks[block].To; v++ {
					most[v] = math.Inf(-1)
					for i := range n {
						most[v] = max(most[v], sums[i][v])
					}
					all += math.Exp(most[v])
				}
				ways[w] += math.Exp(most[w]) / all / TagEars
			}
			all := 0.0
			for o := int(NumWays); o < TagOut; o++ {
				all += math.Exp(sums[0][o])
			}
			for o := int(NumWays); o < TagOut; o++ {
				roles[o] += math.Exp(sums[0][o]) / all / TagEars
			}
		}
		for w, share := range p.Ways {
			if math.Abs(float64(share)-ways[w]) > 1e-3 {
				t.Errorf("%d tokens, way %d: %v, want %v", n, w, share, ways[w])
			}
		}
		for o, share := range p.Roles[:NumRoles] {
			if want := roles[int(NumWays)+o]; math.Abs(float64(share)-want) > 1e-3 {
				t.Errorf("%d tokens, role %d: %v, want %v", n, o, share, want)
			}
		}
	}
}

// slowEar is what an ear says of n tokens, computed as it is written: with what the text adds.
func slowEar(e *Ear, n int, embed func(i int) float64) (sums [][TagOut]float64) {
	before, size := embed, TagDims
	for l := range e.Layers {
		made := make([]float64, n*EarHidden)
		for i := range n {
			for o := range EarHidden {
				s := float64(e.Layers[l].Bias[o])
				for k, off := range EarPlaces[l] {
					for d := range size {
						if j := i + off; j >= 0 && j < n {
							s += before(j*size+d) * float64(e.Layers[l].Weights[(k*size+d)*EarHidden+o])
						}
					}
				}
				if made[i*EarHidden+o] = max(s, 0); l > 0 {
					made[i*EarHidden+o] += before(i*size + o)
				}
			}
		}
		before, size = func(i int) float64 { return made[i] }, EarHidden
	}
	sums = make([][TagOut]float64, n)
	for i := range n {
		for o := range TagOut {
			s := float64(e.Text.Bias[o])
			for h := range EarHidden {
				top := 0.0
				for j := range n {
					top = max(top, before(j*EarHidden+h))
				}
				s += before(i*EarHidden+h)*float64(e.Token.Weights[h*TagOut+o]) + top*float64(e.Text.Weights[h*TagOut+o])
			}
			sums[i][o] = s
		}
	}
	return sums
}
