package danger

import (
	"iter"
	"math"

	"duskdawn/flows/reading"
)

// Net is the weights of the inputs. It never changes and may be used by any number of goroutines.
type Net struct {
	cues     cueWords
	start    []uint32 // where an input's weights begin; unknown where the net does not know the input
	count    []uint8  // how many they are
	weights  []code
	bias     [Width]float32
	bars     Bars
	sizes    [2 * levels]int32
	tagger   *Tagger // hears answers; nil in itself
	verdicts *Net    // judges answers; nil in itself
	numbers  numberWords
}

// Bars are shares above which a danger counts, set on writers that the net was not taught on.
type Bars struct {
	Sure   float32 // of E and S together: above it a danger is sure
	SureE  float32 // of E alone
	Unsure float32 // of all dangers together: above it something was heard
}

// Hearing is what the net hears in a text.
type Hearing struct {
	Hedges reading.Hedges
	Share  [reading.NumDangers]float32 // how likely it says each danger, 0 to 1; of pieces of a long text the greatest
	Matter [NumMatters]float32         // how likely it answers about each matter; of pieces the greatest
	Seems  float32                     // how likely it only seems to say a danger; of pieces the greatest
}

// Class is how likely the text says a danger of the class, 0 to 1.
func (h *Hearing) Class(class byte) (share float32) {
	for d, s := range h.Share {
		if reading.Danger(d).Class() == class {
			share += s
		}
	}
	return min(share, 1)
}

// Any is how likely the text says a danger at all, 0 to 1.
func (h *Hearing) Any() (share float32) {
	for _, s := range h.Share {
		share += s
	}
	return min(share, 1)
}

// about are the dangers that an answer about a matter may be, too: "bite not back" is both.
var about = [reading.NumDangers]Matter{
	reading.DangerPainSevere: MatterPain, reading.DangerBiteChanged: MatterBite, reading.DangerBiteLate: MatterBite,
	reading.DangerHeadMorning: MatterHeadache, reading.DangerPauses: MatterPauses, reading.DangerSleepy: MatterSleepiness,
	reading.DangerDriveAsleep: MatterDriving, reading.DangerDriveNearly: MatterDriving, reading.DangerTurnedWrong: MatterSetting,
}

// About is how likely it speaks of each matter: it answers about it, or says a danger of it.
func (h *Hearing) About() [NumMatters]float32 {
	all := h.Matter
	for d, m := range about {
		if m != MatterWorn { // no danger is about it
			all[m] = min(all[m]+h.Share[d], 1)
		}
	}
	return all
}

// Answers is how likely the text answers a question, 0 to 1.
func (h *Hearing) Answers() (share float32) {
	for _, s := range h.Matter {
		share += s
	}
	return min(share, 1)
}

// Hear says how likely a folded text says each danger.
func (n *Net) Hear(text []byte) (h Hearing) {
	var wordBuf [maxWords]span
	var inputBuf [640]input
	ws := words(text, wordBuf[:0])
	for from, to := range pieces(len(ws)) {
		ins, hedges := n.piece(text, ws, from, to, inputBuf[:0])
		h.Hedges |= hedges
		var out [Width]float32
		n.sum(ins, &out)
		Softmax(out[:])
		for d := range h.Share {
			h.Share[d] = max(h.Share[d], out[d])
		}
		for m := range h.Matter {
			h.Matter[m] = max(h.Matter[m], out[firstMatter+m])
		}
		h.Seems = max(h.Seems, out[Seeming])
	}
	return h
}

// pieces gives the words from which and to which a text is heard: all at once, or in pieces that overlap.
func pieces(words int) iter.Seq2[int, int] {
	return func(yield func(from, to int) bool) {
		if words <= maxWords {
			yield(0, words)
			return
		}
		for from := 0; from+pieceWords-pieceStep < words; from += pieceStep {
			if !yield(from, min(from+pieceWords, words)) {
				return
			}
		}
	}
}

// piece lists the inputs of some words of a text, and the hedges among them.
func (n *Net) piece(text []byte, ws []span, from, to int, dst []input) ([]input, reading.Hedges) {
	if to < len(ws) {
		text = text[:ws[to].from]
	}
	ws = ws[from:to]
	hedges := n.cues.cues(text, ws)
	return n.cues.inputs(text, ws, hedges, dst), hedges
}

// sum adds up the weights of the inputs that the net knows, by the root of how many they are.
func (n *Net) sum(ins []input, out *[Width]float32) {
	var sums [Width]int32
	known := 0
	for _, in := range ins {
		known += n.addOne(in.id, &sums)
	}
	n.weigh(&sums, known, out)
}

// sumIDs is sum for the numbers of inputs.
func (n *Net) sumIDs(ids []uint32, out *[Width]float32) {
	var sums [Width]int32
	known := 0
	for _, id := range ids {
		known += n.addOne(id, &sums)
	}
	n.weigh(&sums, known, out)
}

// addOne adds the weights of one input; 1 where the net knows it, else 0.
func (n *Net) addOne(id uint32, sums *[Width]int32) int {
	at := n.start[id]
	if at == unknown {
		return 0
	}
	for _, c := range n.weights[at : at+uint32(n.count[id])] {
		sums[c>>6] += n.sizes[c&(2*levels-1)]
	}
	return 1
}

func (n *Net) weigh(sums *[Width]int32, known int, out *[Width]float32) {
	part := share(known)
	for i := range out {
		out[i] = float32(float32(sums[i])*part) + n.bias[i]
	}
}

// share is what a weight of one 1,024th adds to a sum, of so many known inputs.
func share(known int) float32 { return 1 / (unit * float32(math.Sqrt(float64(known+1)))) }

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
