package cohort

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/pacing"
	"duskdawn/flows/reading"
)

// Twins: two patients alike but for one answer. Both get tonight's advice; the
// one whose morning was worse may not be told to go further.

// worseTwin compares tonight's advice with what it would be after a worse
// morning. Apart, as the design has it: a snoring score, and for P13, P14 and
// P17 whether a night was worn.
func (pl *Player) worseTwin() {
	c := &pl.p.Course
	if c.Advice.Night >= pl.night {
		return
	}
	e, ok := c.Entry(pl.night - 1)
	if !ok {
		return
	}
	f, v, ok := pl.worse(&e)
	if !ok {
		return
	}
	a, b := pl.p.Twin(), pl.p.Twin()
	e2 := flows.Event{Wall: pl.now.wall(), Office: pl.now.wall()}
	facts := func(p *flows.Patient) pacing.Facts { return p.Facts(&pl.pr, &e2) }
	b.Course.Answer(facts(&b), pl.night-1, f, v, chart.FromPatient)
	usual, _ := a.Course.Advise(facts(&a), pl.night)
	worse, _ := b.Course.Advise(facts(&b), pl.night)
	pl.out.Twins++
	if forward(&worse, &usual) {
		pl.watch.broke(pl, PromiseWorse, "worse")
	}
}

// worse draws an answer that is worse than what a morning told.
func (pl *Player) worse(e *chart.Entry) (chart.Field, chart.Answer, bool) {
	r := pl.r
	switch r.IntN(6) {
	case 0:
		old, v := e.At(chart.Pain), chart.Num(r.IntN(11))
		return chart.Pain, v, old.Known() && v.N() > old.N()
	case 1:
		return chart.Woken, chart.Num(chart.Yes), !e.At(chart.Woken).Is(chart.Yes)
	case 2:
		return chart.Guide, chart.Num(chart.No), e.At(chart.Guide).Is(chart.Yes)
	case 3:
		old, v := e.At(chart.BiteMinutes), chart.Num([...]int{46, 61, 300, chart.BiteNot}[r.IntN(4)])
		return chart.BiteMinutes, v, old.Known() && v.N() > old.N()
	case 4: // not knowing is worse than what is easy
		return chart.Pain, chart.Unknown, e.At(chart.Pain).Is(0)
	}
	return chart.NotWorn, chart.Num(chart.ReasonPain), e.At(chart.NotWorn) == chart.Unknown
}

// undoTwin takes the last answer back, in a twin, after tonight's advice.
func (pl *Player) undoTwin() {
	c := &pl.p.Course
	if c.Advice.Night != pl.night || c.Advice.Action == chart.NoAction || pl.r.IntN(8) != 0 {
		return
	}
	t := pl.p.Twin()
	w := pl.now.wall()
	e := flows.Event{Wall: w, Office: w, Body: flows.Said{Chat: chat, Gen: t.Gen, Text: "undo",
		Reading: reading.Reading{Word: reading.WordUndo}, Wall: w, Message: pl.msg + 1}}
	pl.work.Next(&pl.pr, &t, &e)
	pl.out.Twins++
	b := &t.Course.Advice
	if b.Night == c.Advice.Night && b.Action != chart.NoAction && forward(b, &c.Advice) {
		pl.watch.broke(pl, PromiseUndo, "undo")
	}
	if len(t.Course.Flags) < len(c.Flags) {
		pl.watch.broke(pl, PromiseUndo, "a flag was lifted")
	}
}
