package picture

import (
	"duskdawn/flows/estimate"
	"duskdawn/flows/message"
	"duskdawn/flows/relapse"
	"duskdawn/locales"
)

// Relapse is the chart of snoring after the position was proved: the scores, and
// the sum that tells when they have risen (package relapse).
type Relapse struct {
	Label   string
	Reports []estimate.Report // oldest first
}

// Draw lays it out. Scores of the reference are hollow.
func (r *Relapse) Draw(words *locales.Words, lang string, width int) *Sheet {
	s, v := newSheet(width), voice{words, lang}
	s.Lang, s.Title = lang, v.say("picture.relapse", message.ArgS("label", r.Label))
	s.head(12, 24, s.Title)
	var c relapse.Chart
	sums := make([]float64, len(r.Reports))
	for i, x := range r.Reports {
		if x.Refer {
			c.Refer(x.Score)
		} else {
			c.Add(x.Score)
		}
		sums[i] = float64(c.Sum) / relapse.Thousandth
	}
	key := "picture.relapse.steady"
	switch {
	case !c.Ready():
		key = "picture.relapse.few"
	case c.Risen():
		key = "picture.relapse.risen"
	}
	s.Told = v.say(key, message.ArgN("n", len(r.Reports)), message.ArgN("least", relapse.Least))
	y := 30.0
	for _, line := range lines(s.Told, textSize, s.Width-24) {
		y += lineStep
		s.say(inkSoft, textSize, 12, y-2, 'l', line)
	}
	part := func(height, most float64) *frame {
		y += 28
		f := &frame{s: s, left: 44, right: s.Width - 74, top: y, bottom: y + height, most: most,
			columns: len(r.Reports), per: 1}
		y = f.bottom
		return f
	}
	f := part(110, 10)
	f.grid(v.say("picture.snoring"), []float64{0, 5, 10}, whole, nil)
	if c.Ready() {
		mean, sd := float64(c.Mean())/relapse.Thousandth, float64(c.SD())/relapse.Thousandth
		f.limit(mean, v.say("picture.mean"))
		s.rect(inkSoft, f.right, f.y(min(mean+sd, 10)), 3, f.y(max(mean-sd, 0))-f.y(min(mean+sd, 10)), false)
	}
	for i, x := range r.Reports {
		s.disc(inkSnore, f.x(i), f.y(float64(x.Score)), min(3.5, max(1.5, f.step()/2)), x.Refer)
	}
	const limit = relapse.Limit / relapse.Thousandth
	most := float64(limit + 2)
	for _, sum := range sums {
		most = max(most, sum+1)
	}
	f = part(110, most)
	f.grid(v.say("picture.sum"), f.ticks(5), whole, nil)
	f.limit(limit, v.say("picture.limit", message.ArgN("n", limit)))
	for i, sum := range sums {
		s.rect(inkPlace, f.x(i)-max(f.step()*0.3, 0.6), f.y(sum), max(f.step()*0.6, 1.2), f.bottom-f.y(sum), false)
	}
	if n := len(r.Reports); n > 0 { // not each night has a score: the days stand at their own places
		s.say(inkSoft, textSize, f.left, y+18, 'l', v.say("picture.day", message.ArgD("date", r.Reports[0].Night)))
		if n > 1 {
			s.say(inkSoft, textSize, f.right, y+18, 'r', v.say("picture.day", message.ArgD("date", r.Reports[n-1].Night)))
		}
	}
	at := legend{s: s, x: 12, y: y + 42}
	at.item(v.say("picture.reference"), func(x, y float64) { s.disc(inkSnore, x, y, 3.5, true) })
	at.item(v.say("picture.since"), func(x, y float64) { s.disc(inkSnore, x, y, 3.5, false) })
	at.item(v.say("picture.spread"), func(x, y float64) { s.rect(inkSoft, x-1.5, y-6, 3, 12, false) })
	s.Height = at.y + lineStep
	return s
}
