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
		if share := h.Any(); share < n.bar(BarUnsure) {
			t.Errorf("%d bytes: %.2f, the bar is %.2f", len(text), share, n.bar(BarUnsure))
		}
	}
}

// TestWhy adds up: what carries a danger, with its bias, is its sum.
func TestWhy(t *testing.T) {
	n := load(t)
	text := fold.Text(nil, "My wife says I stop breathing at night, is that bad?")
	ws := fold.Words(text, nil)
	ins, hedges := n.piece(text, ws, 0, len(ws), nil)
	if want := reading.HedgeQuestion | reading.HedgeOther; hedges&want != want {
		t.Errorf("hedges: %v", hedges.List())
	}
	out := n.sum(ins)
	for _, d := range []reading.Danger{reading.DangerPauses, reading.DangerBreath} {
		sum := n.sum(nil)[d]
		reasons := n.Why(text, d, 10_000)
		for _, r := range reasons {
			sum += r.Weight
		}
		if math.Abs(float64(sum-out[d])) > 1e-3 || len(reasons) < 5 {
			t.Errorf("%s: the reasons make %v, the net %v", d, sum, out[d])
		}
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
