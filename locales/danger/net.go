package danger

import (
	"iter"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
)

// Net hears dangers. It never changes and may be used by any number of goroutines.
type Net struct {
	cues    cueWords
	weights *linear.Net
}

// The bars of the net are shares above which a danger counts, set on writers that it was not taught on.
const (
	BarSure   = iota // of E and S together: above it a danger is sure
	BarSureE         // of E alone
	BarUnsure        // of all dangers together: above it something was heard
)

// Open reads the written form of a net, and gives the hash of what it was taught on.
func Open(buf []byte) (*Net, [32]byte, error) {
	weights, hash, err := linear.Open(buf)
	if err != nil {
		return nil, hash, err
	}
	cues, err := readCues()
	return &Net{cues, weights}, hash, err
}

// bar is one of the bars.
func (n *Net) bar(which int) float32 { return n.weights.Bars[which] }

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
	var wordBuf [maxWords]fold.Span
	var inputBuf [640]input
	ws := fold.Words(text, wordBuf[:0])
	for from, to := range pieces(len(ws)) {
		ins, hedges := n.piece(text, ws, from, to, inputBuf[:0])
		h.Hedges |= hedges
		out := n.sum(ins)
		linear.Softmax(out[:])
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
func (n *Net) piece(text []byte, ws []fold.Span, from, to int, dst []input) ([]input, reading.Hedges) {
	if to < len(ws) {
		text = text[:ws[to].From]
	}
	ws = ws[from:to]
	hedges := n.cues.cues(text, ws)
	return n.cues.inputs(text, ws, hedges, dst), hedges
}

// sum adds up the weights of the inputs that the net knows.
func (n *Net) sum(ins []input) [linear.Width]float32 {
	var sums linear.Sums
	for _, in := range ins {
		n.weights.Add(&sums, in.id)
	}
	return n.weights.Outputs(&sums)
}
