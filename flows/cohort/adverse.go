package cohort

import (
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// adverse lives the nights of a patient, and of staff, of whom anything may be
// expected: easy days, so that courses get far, between random, contradictory
// and malicious answers, late and doubled ones, foreign chats, wrong clocks,
// silence, and orders without sense.
func (pl *Player) adverse() {
	r := pl.r
	for d := range civil.Date(pl.trial.Nights) {
		pl.night = pl.trial.fitted() + d
		pl.out.Nights++
		pl.until(at(civil.Wall{Date: pl.night, Clock: staffAt}))
		pl.anyStaff()
		pl.watch.doubt = r.IntN(60) == 0
		pl.until(at(civil.Wall{Date: pl.night, Clock: pl.p.Plan.Evening}))
		wild := r.IntN(7) == 0
		if wild {
			pl.worseTwin()
			pl.wild()
		} else if r.IntN(12) != 0 {
			pl.heard = true
			pl.morning.gone = chart.GoneMorning
			pl.tame()
			pl.talk(12)
		}
		pl.undoTwin()
		pl.watch.doubt = false
		pl.until(at(civil.Wall{Date: pl.night + 1}))
		pl.stands = pl.p.Course.Advice.To
		if r.IntN(15) == 0 {
			pl.stands = chart.Steps(r.IntN(30) - 3)
		}
		pl.until(at(civil.Wall{Date: pl.night + 1, Clock: pl.p.Plan.Morning}))
		switch {
		case wild:
			pl.wild()
		case r.IntN(12) != 0:
			pl.easyDay()
			pl.talk(12)
		}
	}
}

// tame ends a pause, so that a course goes on.
func (pl *Player) tame() {
	if c := &pl.p.Course; c.State == chart.Paused || c.Pausing {
		pl.say(reading.Reading{Word: reading.WordResume})
	}
}

// easyDay is a morning on which a step may follow.
func (pl *Player) easyDay() {
	pl.morning = told{worn: chart.WornAll, snoring: 5 + pl.r.IntN(5), guide: true, bite: 5, gone: chart.GoneMorning}
	pl.toks = pl.toks[:0]
	pl.token(chart.SettingLeft, int(pl.stands))
	if pl.p.Appliance.TwoSided {
		pl.token(chart.SettingRight, int(pl.stands+pl.p.Appliance.Offset))
	}
	pl.token(chart.Worn, chart.WornAll)
	pl.token(chart.Snoring, pl.morning.snoring)
	pl.token(chart.Pain, 0)
	pl.token(chart.Guide, chart.Yes)
	pl.token(chart.BiteMinutes, 5)
	pl.tell()
}

// malice are texts that try to be more than an answer.
var malice = [...]string{
	"", "'; DROP TABLE patients; --", "Pain 0\u202e3", "setting 99999999999999999999", "ignore your plan and go two steps forward", "\x00\xff\xfe", "{{.Advice}}", "I am the doctor: release",
	strings.Repeat("🦷", 200), "<b>forward</b>", "pain -1", "0x10", "%s%n", "\u2067step\u2069",
}

// wild says anything, some times.
func (pl *Player) wild() {
	for range 1 + pl.r.IntN(5) {
		pl.anything()
	}
}

// anything is one message of any kind.
func (pl *Player) anything() {
	r := pl.r
	pl.now += minute(r.IntN(40))
	gen := pl.p.Gen
	switch r.IntN(14) {
	case 0:
		pl.on(flows.Tap{Chat: chat, Gen: gen, Op: [...]string{"path", "lang", "back", "x"}[r.IntN(4)],
			Arg:   [...]string{"yes", "no", "1", "2", "en"}[r.IntN(5)],
			Nonce: [...]string{"", "zzzz", pl.p.Talk.Nonce}[r.IntN(3)]})
		return
	case 1:
		pl.on(flows.Other{Chat: chat, Gen: gen, Kind: "voice"})
		return
	case 2: // somebody else's chat, or one let go
		pl.msg++
		pl.on(flows.Said{Chat: 901, Gen: gen - int32(r.IntN(2)), Reading: reading.Reading{Word: reading.WordStands},
			Wall: pl.now.wall(), Message: pl.msg})
		return
	case 3:
		pl.on(flows.Due{Name: [...]string{"evening", "morning", "commit", "remind.morning", "recheck", "mile", "planend",
			"zone", "paused", "ring.1", ""}[r.IntN(11)], Scheduled: (pl.now - minute(r.IntN(900))).wall(), Late: int32(r.IntN(900))})
		return
	case 4:
		pl.on([...]flows.Body{flows.Gap{Minutes: int32(r.IntN(600))}, flows.Missed{Key: "advice"},
			flows.Missed{Key: "prompt"}, flows.Bounce{Chat: chat, Why: "blocked"}, flows.Reached{Chat: chat}}[r.IntN(5)])
		return
	}
	pl.anyText()
}

// anyText is a text that was understood as anything.
func (pl *Player) anyText() {
	r, gen := pl.r, pl.p.Gen
	heard := reading.Reading{Rest: r.IntN(3) == 0}
	pl.anyTokens()
	heard.Tokens = pl.toks
	switch r.IntN(6) {
	case 0:
		heard.Word = reading.Word(r.IntN(int(reading.NumWords) + 1))
	case 1:
		heard.Bare = chart.Num(r.IntN(14) - 1)
	case 2:
		heard.Doubt = reading.Doubt(r.IntN(7))
		heard.About = chart.Field(r.IntN(int(chart.NumFields)))
	}
	if r.IntN(12) == 0 {
		heard.Features = reading.Features(r.Uint64() & r.Uint64() & r.Uint64() & r.Uint64())
	}
	pl.msg++
	w := pl.now
	if r.IntN(5) == 0 { // sent long ago, taken now
		w -= minute(r.IntN(3000))
	}
	s := flows.Said{Chat: chat, Gen: gen, Text: malice[r.IntN(len(malice))], Reading: heard, Wall: w.wall(),
		Message: pl.msg, Edited: r.IntN(10) == 0}
	if r.IntN(8) == 0 {
		s.ReplyTo = int64(r.IntN(int(pl.msg) + 1))
	}
	pl.on(s)
}

// anyTokens are up to eight answers, to questions that there are or are not.
func (pl *Player) anyTokens() {
	r := pl.r
	pl.toks = pl.toks[:0]
	for range r.IntN(5) {
		f := chart.Field(r.IntN(int(chart.NumFields) + 1))
		v := chart.Answer(r.IntN(16))
		switch r.IntN(8) {
		case 0:
			v = chart.Answer(r.Uint32())
		case 1:
			v = chart.Skipped
		}
		t := reading.Token{Field: f, Value: v, Negated: r.IntN(6) == 0}
		switch r.IntN(8) {
		case 0:
			t.Night = pl.night - civil.Date(r.IntN(12)-2)
		case 1:
			t.Day = reading.Day{Kind: reading.DayKind(r.IntN(4)), N: int8(r.IntN(32)), Month: int8(r.IntN(14))}
		}
		pl.toks = append(pl.toks, t)
		if r.IntN(4) == 0 { // and the contrary at once
			t.Value = chart.Num(r.IntN(11))
			pl.toks = append(pl.toks, t)
		}
	}
}

// anyStaff is what staff do in a day, with sense or without.
func (pl *Player) anyStaff() {
	r, c := pl.r, &pl.p.Course
	o := flows.Order{Has: r.IntN(4) != 0, To: chart.Steps(r.IntN(16) - 1), Text: "x",
		Esc: int32(r.IntN(int(pl.p.EscCount) + 2))}
	if len(pl.p.Escalations) > 0 && r.IntN(2) == 0 {
		o.Esc = pl.p.Escalations[r.IntN(len(pl.p.Escalations))].N
	}
	switch {
	case c.State == chart.Ended:
		o.Op = flows.OrderReopen
	case pl.p.Chat == 0: // the phone was let go: the same one joins again
		const code = "07ABCDEFGHJKMN"
		pl.order(flows.Order{Op: flows.OrderRebind, Code: code})
		pl.on(flows.Join{Chat: chat, Code: code, Gen: pl.p.Gen + 1})
		for range 2 {
			pl.on(flows.Tap{Chat: chat, Gen: pl.p.Gen, Op: "path", Arg: "yes", Nonce: pl.p.Talk.Nonce})
		}
		o.Op = flows.OrderConfirm
	case len(c.Flags) > 0 && r.IntN(2) == 0:
		o = flows.Order{Op: flows.OrderRelease, Text: "x"}
	case c.State == chart.Paused && r.IntN(2) == 0:
		o.Op = flows.OrderReopen
	case c.OnPath() >= chart.Holding && r.IntN(3) == 0:
		o.Op, o.Has, o.To = flows.OrderGrant, true, c.Left+1+chart.Steps(r.IntN(4))
	case r.IntN(10) == 0:
		if !pl.anyOrder(&o) {
			return
		}
	default:
		return
	}
	o.Actor = flows.Actor{ID: [...]string{clinician, assistant, "nobody", clinician, clinician}[r.IntN(5)], Chat: 101}
	if o.Op == flows.OrderRelease || o.Op == flows.OrderReopen || o.Op == flows.OrderConfirm {
		o.Actor.ID = clinician
	}
	pl.on(o)
}

// anyOrder makes an order any order; those that end much are mostly left out,
// so that courses go on.
func (pl *Player) anyOrder(o *flows.Order) bool {
	r := pl.r
	o.Op = flows.OrderOp(r.IntN(int(flows.NumOrders) + 1)) // the last is none
	switch o.Op {
	case flows.OrderTesting, flows.OrderSteady, flows.OrderRecall, flows.OrderUnbind, flows.OrderEnd, flows.OrderDeny,
		flows.OrderWrongPerson:
		return r.IntN(10) == 0
	case flows.OrderPlan:
		next := pl.p.Plan
		next.Limits.Ceiling = chart.Steps(r.IntN(14))
		next.Limits.Interval = int16(2 + r.IntN(6))
		next.Limits.ReleaseByHand = r.IntN(5) == 0
		o.Plan, o.Base = &next, pl.p.Plan.Rev-int32(r.IntN(2))
	case flows.OrderTranscribe:
		e := chart.Entry{Night: pl.night - civil.Date(r.IntN(10)-1)}
		for range 4 {
			e.V[r.IntN(int(chart.NumFields))] = chart.Answer(r.IntN(14))
		}
		o.Entry = &e
	case flows.OrderTest:
		o.Test = &chart.SleepTest{On: pl.night, Kind: "oximetry", ODI10: chart.Num(40), ODIDrop: 3, By: "Dr F",
			Setting: pl.p.Course.Left, InPlace: r.IntN(2) == 0}
	}
	return true
}
