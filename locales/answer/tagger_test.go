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
		most := float32(0)
		for _, w := range weights {
			most = max(most, w, -w)
		}
		for j, w := range weights {
			if got := is.weights()[i][j]; math.Abs(float64(got-w)) > float64(most)/127/2+1e-6 {
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

// TestSums are those of the products, and AddScaled adds products.
func TestSums(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for n := 1; n < 20; n++ {
		d, heard := dense(n, n+2), make([]float32, 3*n)
		for _, numbers := range [][]float32{d.Weights, d.Bias, heard} {
			for i := range numbers {
				numbers[i] = float32(r.NormFloat64())
			}
		}
		out := d.sums(heard, 3, nil)
		for i := range 3 {
			sums := out[i*(n+2) : (i+1)*(n+2)]
			AddScaled(sums, -2, d.Bias)
			for o := range sums {
				want := float64(-d.Bias[o])
				for k := range n {
					want += float64(d.Weights[k*(n+2)+o]) * float64(heard[i*n+k])
				}
				if math.Abs(float64(sums[o])-want) > 1e-4 {
					t.Errorf("%d numbers, sum %d: %v, want %v", n, o, sums[o], want)
				}
			}
		}
	}
}
