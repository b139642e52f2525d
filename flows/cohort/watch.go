package cohort

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

// Promise is a safety property that is counted when it is broken.
type Promise uint8

// The promises, as the design states them.
const (
	PromiseLimits   Promise = iota // no advice outside 0, the signed ceiling and the travel
	PromiseOneStep                 // at most one step forward a night, from where it stands
	PromisePace                    // at most 1.0 mm forward in any 7 nights
	PromiseKnown                   // no step on a night that is not known worn and answered, or an evening without an answer
	PromiseFlag                    // no step under an open flag
	PromiseReplace                 // only a more cautious advice replaces one
	PromiseGuard                   // the guard never has to refuse what the table gives
	PromiseWorse                   // a worse answer never gives a more forward advice
	PromiseUndo                    // an answer taken back never makes an advice more forward
	PromiseByItself                // the setting moves by a person's word only
	PromiseAnswer                  // every message of the patient is answered
	PromisePerson                  // every stay that repeats reaches a person
	PromiseWayOut                  // every course stands somewhere that a person can name, with a way out
	NumPromises
)

var promiseNames = [NumPromises]string{"limits", "one step a night", "pace", "unknown night", "open flag",
	"replaced by a more forward one", "guard", "worse answer more forward",
	"undo more forward", "moved by itself", "message without an answer", "stay without a person", "no way out"}

func (p Promise) String() string { return promiseNames[p] }

// quietMost is how many evenings of one stay may pass before staff have heard of
// it: every rule's own bound is lower.
const quietMost = 35

// watch holds each event to the promises. What it compares with is what was
// before the event; it shares no arithmetic with the rules.
type watch struct {
	was     chart.Advice
	left    chart.Steps
	under   chart.State
	flags   int
	count   int32
	escs    int32
	holding civil.Date
	doubt   bool // the events' clock is in doubt
	said    civil.Date
	stays   int
	seen    int32
}

func (w *watch) before(pl *Player) {
	c := &pl.p.Course
	w.escs = pl.p.EscCount
	w.was, w.left, w.under, w.flags, w.count = c.Advice, c.Left, c.OnPath(), len(c.Flags), c.Advices
}

func (w *watch) broke(pl *Player, p Promise, what string) {
	pl.out.Breaches[p]++
	if pl.out.First == "" {
		w := pl.now.wall()
		pl.out.First = p.String() + ": " + what + ", " + w.Date.String() + " " + w.Clock.String() + ", " +
			pl.p.Course.Advice.Rule.ID()
	}
}

// after looks at what an event has changed.
func (w *watch) after(pl *Player, e *flows.Event, out *flows.Out) {
	c := &pl.p.Course
	switch b := e.Body.(type) {
	case flows.Said:
		w.said = pl.night
		w.answered(pl, out, b.Chat)
	case flows.Tap:
		w.answered(pl, out, b.Chat)
	case flows.Other:
		w.answered(pl, out, b.Chat)
	case flows.Due:
		if c.Left != w.left {
			w.broke(pl, PromiseByItself, b.Name)
		}
	}
	if c.Breaches > 0 || c.Advice.Breach {
		w.broke(pl, PromiseGuard, "refused")
	}
	w.raised(pl)
	w.arrived(pl)
	if c.Advices != w.count {
		w.advice(pl)
	}
}

// raised counts the flags that an event raised.
func (w *watch) raised(pl *Player) {
	for _, raised := range pl.p.Course.Flags[min(w.flags, len(pl.p.Course.Flags)):] {
		for k, class := range classes {
			if raised.Class == class {
				pl.out.Flags[k]++
			}
		}
	}
	for i := range pl.p.Escalations { // what can wait for the next visit is no open flag, but reaches the desk
		x := &pl.p.Escalations[i]
		if x.N > w.escs {
			pl.Tally.card(x.Reason, 1)
		}
		if x.N > w.escs && x.Class == redflag.ClassR {
			if row := redflag.Find(x.Reason); row != nil && row.Class == redflag.ClassR {
				pl.out.Flags[len(classes)-1]++
			}
		}
	}
}

// arrived notes that a course has come to rest or to hold its setting.
func (w *watch) arrived(pl *Player) {
	c := &pl.p.Course
	under := c.OnPath()
	if under == w.under || c.State < chart.Settling {
		return
	}
	switch under {
	case chart.Resting:
		pl.out.Rests++
	case chart.Holding:
		w.holding = pl.night
		if pl.out.Reached == 0 {
			pl.out.Reached = int(pl.night-pl.trial.fitted()) + 1
		}
	}
}

// answered holds that whoever writes gets an answer.
func (w *watch) answered(pl *Player, out *flows.Out, to int64) {
	if out == nil { // elsewhere
		return
	}
	for _, s := range out.Sends() {
		if s.Chat == to || s.Chat == 0 && to == chat {
			return
		}
	}
	w.broke(pl, PromiseAnswer, "silence")
}

// way is how far forward the appliance went in the six nights before one, as
// the patient has confirmed it: night by night, a corrected answer as it stands.
func way(p *flows.Patient, night civil.Date) (steps chart.Steps) {
	c := &p.Course
	stood, known := chart.Steps(0), false
	for i := range c.Nights[:c.N] {
		e := &c.Nights[i]
		v := e.At(chart.SettingLeft)
		if !v.Known() || e.Night >= night {
			continue
		}
		at := chart.Steps(v.N())
		if r := e.At(chart.SettingRight); p.Appliance.TwoSided {
			if !r.Known() { // half a word confirms nothing
				continue
			}
			at = max(at, chart.Steps(r.N())-p.Appliance.Offset) // the side that stands further
		}
		if known && e.Night > night-7 {
			steps += max(at-stood, 0)
		}
		stood, known = at, true
	}
	return steps
}

// advice holds a new advice to the promises.
func (w *watch) advice(pl *Player) {
	c := &pl.p.Course
	a := &c.Advice
	top := min(pl.p.Plan.Limits.Ceiling, pl.p.Appliance.Travel-max(offset(&pl.p), 0))
	switch {
	case a.To < 0, a.Action != chart.LeaveOut && a.To > max(top, 0), a.Action == chart.GoBack && a.To >= a.From:
		w.broke(pl, PromiseLimits, "outside")
	}
	if a.Night == w.was.Night && w.was.Action != chart.NoAction && forward(a, &w.was) {
		w.broke(pl, PromiseReplace, "replaced")
	}
	if a.Action == chart.GoBack && (w.was.Action != chart.GoBack || a.To != w.was.To) { // said again, it is the same way back
		pl.out.BackOffs++
	}
	if a.Action == chart.Forward {
		pl.out.Forward++
		w.ahead(pl, a)
	}
	pl.out.Stopped = pl.out.Stopped || c.Flat >= pacing.GainEvenings
	w.alone(pl, a)
}

// ahead holds a step forward to what it needs.
func (w *watch) ahead(pl *Player, a *chart.Advice) {
	c := &pl.p.Course
	if a.To != c.Left+1 || c.Low != c.Left || c.High != a.To || a.Night == w.was.Night && w.was.Action == chart.Forward {
		w.broke(pl, PromiseOneStep, "two")
	}
	if chart.Micrometres(way(&pl.p, a.Night)+1)*pl.p.Appliance.Step > chart.TopPace {
		w.broke(pl, PromisePace, "too fast")
	}
	last, ok := c.Entry(a.Night - 1)
	worn := last.At(chart.Worn).Is(chart.WornAll) || last.At(chart.WornMinutes).AtLeast(int(pl.p.Plan.Limits.WornMinutes)) && !last.At(chart.Worn).Is(chart.WornNo)
	if !ok || !worn || !last.At(chart.Pain).Known() || w.said != pl.night {
		w.broke(pl, PromiseKnown, "a step")
	}
	for i := range c.Flags {
		if f := &c.Flags[i]; f.Class.Worse(redflag.ClassR) {
			w.broke(pl, PromiseFlag, f.ID)
		}
	}
}

// alone holds that a stay that repeats is heard of.
func (w *watch) alone(pl *Player, a *chart.Advice) {
	c := &pl.p.Course
	told := pl.p.EscCount != w.seen || len(pl.p.Escalations) > 0 || c.Open()
	asked := a.Fired&pacing.Reviews() != 0 || a.Ready // a review, asked once a setting
	if a.Action != chart.Stay || told || asked || c.OnPath() > chart.Resting || c.State == chart.Paused || pl.p.Held {
		w.stays, w.seen = 0, pl.p.EscCount
		return
	}
	if w.stays++; w.stays > quietMost {
		w.broke(pl, PromisePerson, "alone")
		w.stays = 0
	}
}

func offset(p *flows.Patient) chart.Steps {
	if p.Appliance.TwoSided {
		return p.Appliance.Offset
	}
	return 0
}

// forward reports whether b asks for less caution than a.
func forward(b, a *chart.Advice) bool {
	if b.Action != a.Action {
		return b.Action > a.Action
	}
	return (b.Action == chart.GoBack || b.Action == chart.Forward) && b.To > a.To
}
