package danger

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

func load(t testing.TB) *Net {
	t.Helper()
	n, _, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestOpenDamaged cuts and changes the written form: an error or a net that can be asked, never a panic.
func TestOpenDamaged(t *testing.T) {
	if _, _, err := Open(nil); err == nil {
		t.Error("no bytes were opened")
	}
	if _, _, err := Open([]byte("DDN0" + string(bytesOfNet[4:]))); err == nil {
		t.Error("bytes of another form were opened")
	}
	refused := 0
	r := rand.New(rand.NewPCG(1, 2))
	for range 60 {
		buf := []byte(string(bytesOfNet[:r.IntN(min(len(bytesOfNet), 4000))]))
		for range r.IntN(4) {
			if len(buf) > 0 {
				buf[r.IntN(len(buf))] ^= byte(1 << r.IntN(8))
			}
		}
		n, _, err := Open(buf)
		if err != nil {
			refused++
			continue
		}
		n.Hear([]byte("i cannot breathe"))
	}
	if refused == 0 {
		t.Error("nothing was refused")
	}
}

// TestWritten reads back what was written: every weight within an eighth, small ones gone.
func TestWritten(t *testing.T) {
	f := Form{Scale: OfWords, Rows: []Row{{Input: 3}, {Input: 200_000}, {Input: 200_001}}}
	f.Hash[7] = 9
	f.Bias[reading.DangerChest] = -1.25
	f.Bars = Bars{Sure: 0.75, SureE: 0.5, Unsure: 0.25}
	for o := range Outputs {
		f.Rows[1].Weights[o] = float32(o)/10 - 2.5
	}
	f.Rows[2].Weights[Nothing] = -0.5
	buf, err := f.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	n, hash, err := Open(buf)
	if err != nil {
		t.Fatal(err)
	}
	if hash != f.Hash || n.bars != f.Bars || n.bias != f.Bias {
		t.Errorf("head: %v %v", hash, n.bars)
	}
	for i := range f.Rows {
		r := &f.Rows[i]
		var got [Width]float32
		n.sum([]input{{id: r.Input}}, &got)
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
	if n.start[4] != unknown {
		t.Error("an input that was not written is known")
	}
}

// TestHearAnything gives it any bytes: shares are shares, and no text is too long.
func TestHearAnything(t *testing.T) {
	n := load(t)
	r := rand.New(rand.NewPCG(3, 4))
	for size := 1; size < 1<<17; size *= 2 {
		b := make([]byte, size)
		for i := range b {
			b[i] = byte(r.Uint32())
			if r.IntN(5) == 0 {
				b[i] = ' '
			}
		}
		for d, s := range n.Hear(b).Share {
			if !(s >= 0 && s <= 1) {
				t.Fatalf("%d bytes: %s %v", size, reading.Danger(d), s)
			}
		}
	}
}

// TestHearBehindFiller hears what stands within thousands of other words as it hears it alone.
func TestHearBehindFiller(t *testing.T) {
	n := load(t)
	const said = "i can not breathe my throat is closing"
	filler := strings.Repeat("the weather was nice and we had tea with the neighbours ", 150)
	for _, text := range []string{said, filler + said, said + " " + filler, filler + said + " " + filler} {
		h := n.Hear(fold.Text(nil, text))
		if share := h.Any(); share < n.bars.Unsure {
			t.Errorf("%d bytes: %.2f, the bar is %.2f", len(text), share, n.bars.Unsure)
		}
	}
}

// TestWhy adds up: what carries a danger, with its bias, is its sum.
func TestWhy(t *testing.T) {
	n := load(t)
	text := fold.Text(nil, "My wife says I stop breathing at night, is that bad?")
	ws := words(text, nil)
	ins, hedges := n.piece(text, ws, 0, len(ws), nil)
	if want := reading.HedgeQuestion | reading.HedgeOther; hedges&want != want {
		t.Errorf("hedges: %v", hedges.List())
	}
	var out [Width]float32
	n.sum(ins, &out)
	for _, d := range []reading.Danger{reading.DangerPauses, reading.DangerBreath} {
		sum := n.bias[d]
		reasons := n.Why(text, d, 10_000)
		for _, r := range reasons {
			sum += r.Weight
		}
		if math.Abs(float64(sum-out[d])) > 1e-3 || len(reasons) < 5 {
			t.Errorf("%s: the reasons make %v, the net %v", d, sum, out[d])
		}
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

func BenchmarkHear(b *testing.B) {
	n := load(b)
	text := fold.Text(nil, "Wore it most of the night, jaw about a four when I woke up but it went by ten, no snoring she says, bite took "+
		"twenty minutes to come back")
	b.ReportAllocs()
	for b.Loop() {
		n.Hear(text)
	}
}

// TestSmall keeps what is built in below a million bytes, all nets together.
func TestSmall(t *testing.T) {
	if n := len(bytesOfNet) + len(bytesOfTagger) + len(bytesOfVerdicts); n >= 1_000_000 {
		t.Errorf("%d bytes", n)
	}
}
