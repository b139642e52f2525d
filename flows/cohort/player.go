package cohort

import (
	"math/rand/v2"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// Player lives virtual patients one after another, in room of its own. It
// serves one caller at a time.
type Player struct {
	trial *Trial
	pr    practice.Practice
	work  flows.Work

	r     *rand.Rand
	pcg   *rand.PCG
	who   person
	p     flows.Patient
	now   minute
	msg   int64
	after timers
	toks  []reading.Token
	out   Outcome
	watch watch
	Tally Tally // of all that were played
	only  *bool // of a benchmark: everybody answers so

	body // the jaw
	tonight
}

// tonight is what happens between two dusks, besides what the flow knows.
type tonight struct {
	night   civil.Date
	heard   bool // the evening was answered
	turned  int  // steps the appliance was turned forward, in truth
	morning told
}

// Player makes one.
func (tr *Trial) Player() *Player {
	pl := &Player{trial: tr, pr: invented(), pcg: rand.NewPCG(0, 0)}
	pl.r = rand.New(pl.pcg)
	return pl
}

// chat is the virtual patient's.
const chat = 900

// Live plays patient n of the trial from fitting day on.
func (pl *Player) Live(n int) Outcome {
	pl.pcg.Seed(pl.trial.Seed, uint64(n))
	pl.who = newPerson(pl.r)
	if pl.only != nil {
		pl.who.presses = *pl.only
	}
	if pl.trial.Partner > 0 {
		pl.who.partner = pl.trial.Partner
	}
	pl.p = flows.Patient{ID: "07VIRTVIRTVIRTVIRT"}
	pl.now, pl.msg, pl.after = at(civil.Wall{Date: pl.trial.fitted(), Clock: 14 * 60}), 0, pl.after[:0]
	pl.out, pl.body, pl.watch = Outcome{}, body{}, watch{}
	if !pl.begin() {
		pl.out.End = NotEnrolled
		pl.Tally.Add(n, &pl.out)
		return pl.out
	}
	if pl.trial.Adverse {
		pl.adverse()
	} else {
		pl.nights()
	}
	pl.finish()
	pl.Tally.Add(n, &pl.out)
	return pl.out
}

// begin enrols the patient and brings it to its first evening, as the practice
// and the patient do.
func (pl *Player) begin() bool {
	if x := pl.trial.Elsewhere; x != nil {
		x.Enrol(pl.trial.enrol(&pl.who))
		pl.p = *x.Patient()
		return pl.p.Course.State == chart.Settling
	}
	const code = "07ABCDEFGHJKMN"
	pl.on(flows.Enrol{Enrolment: pl.trial.enrol(&pl.who), Actor: flows.Actor{ID: clinician}, Code: code, Chat: 101})
	pl.on(flows.Join{Chat: chat, Code: code, Gen: 1})
	for range 2 { // of age, and agrees
		pl.on(flows.Tap{Chat: chat, Gen: pl.p.Gen, Op: "path", Arg: "yes", Nonce: pl.p.Talk.Nonce})
	}
	pl.order(flows.Order{Op: flows.OrderConfirm})
	return pl.p.Course.State == chart.Settling
}

// on hands one event to the flow, does what it orders, and watches. Elsewhere
// nobody sees what it ordered.
func (pl *Player) on(b flows.Body) *flows.Out {
	if pl.trial.Elsewhere != nil {
		pl.away(b)
		return nil
	}
	w := pl.now.wall()
	e := flows.Event{At: time.Unix(int64(pl.now)*60, 0).UTC(), Wall: w, Office: w, Body: b, Doubt: pl.watch.doubt}
	e.Seed[0], e.Seed[1] = byte(pl.msg), byte(pl.msg>>8)
	pl.watch.before(pl)
	out := pl.work.Next(&pl.pr, &pl.p, &e)
	out.Timers(func(s *flows.SetTimer) {
		due := at(s.At)
		if s.After > 0 {
			due = pl.now + minute(s.After)
		}
		pl.after.set(s.Name, due, s.Arg)
	}, pl.after.clear)
	pl.watch.after(pl, &e, out)
	if pl.trial.Watch != nil {
		pl.trial.Watch(&pl.p, &e, out)
	}
	return out
}

// until lets time pass: what comes due on the way fires.
func (pl *Player) until(m minute) {
	if pl.trial.Elsewhere != nil {
		pl.wait(m)
		return
	}
	for {
		t, ok := pl.after.next(m)
		if !ok {
			break
		}
		pl.now = max(pl.now, t.due)
		pl.on(flows.Due{Name: t.name, Arg: t.arg, Scheduled: t.due.wall()})
		if t.name == "recheck" && pl.p.Talk.CheckIn == flows.Recheck && !pl.trial.Adverse && pl.r.Float64() < pl.who.answers {
			pl.talk(4)
		}
	}
	pl.now = max(pl.now, m)
}

// say is one message with the answers gathered in toks.
func (pl *Player) say(r reading.Reading) *flows.Out {
	pl.msg++
	return pl.on(flows.Said{Chat: chat, Gen: pl.p.Gen, Text: "-", Reading: r, Wall: pl.now.wall(), Message: pl.msg})
}

func (pl *Player) order(o flows.Order) {
	o.Actor = flows.Actor{ID: clinician, Name: "Dr A", Chat: 101, Role: practice.Clinician}
	pl.on(o)
}

// dayDone sums up the night that is over.
func (pl *Player) dayDone() {
	d := Day{Patients: 1, Snoring: int(10 * pl.who.snores(pl.mm())), Place: int(1000 * pl.mm() / pl.who.most)}
	if pl.out.Reached > 0 {
		d.Settled = 1
	}
	if pl.morning.pain > 0 {
		d.Sore = 1
	}
	pl.Tally.day(int(pl.night - pl.trial.fitted())).add(d)
}

// Course is where the patient lived last stands.
func (pl *Player) Course() pacing.Course { return pl.p.Course }
