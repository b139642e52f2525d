package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// SteadyDoubts says why the newest test that counts may not prove the position
// that is worn now: it was at another setting, is older than the last move, or
// its index is above the plan's goal. None of them forbids: a clinician
// confirms. False where no test counts at all.
func SteadyDoubts(p *Patient) (doubts []message.Line, proved bool) {
	x, ok := p.proof()
	if !ok {
		return nil, false
	}
	c := &p.Course
	if x.Setting != c.Left || c.InDoubt {
		doubts = append(doubts, message.Say("order.doubt.setting", message.ArgN("n", int(x.Setting)),
			message.ArgN("now", int(c.Left))))
	}
	if c.Arrived != 0 && x.On <= c.Arrived { // a test of a night is of its evening's date or the morning after
		doubts = append(doubts, message.Say("order.doubt.moved", message.ArgD("on", x.On), message.ArgD("moved", c.Arrived)))
	}
	switch goal := p.Plan.Goal10; {
	case !goal.Known():
	case !x.AHI10.Known():
		doubts = append(doubts, message.Say("order.doubt.noahi", tenthsArg("goal", goal)))
	case x.AHI10.N() > goal.N():
		doubts = append(doubts, message.Say("order.doubt.goal", tenthsArg("ahi", x.AHI10), tenthsArg("goal", goal)))
	}
	return doubts, true
}

func tenthsArg(name string, v chart.Answer) message.Arg {
	return message.Arg{Name: name, Kind: message.ArgTenths, N: int64(v.N())}
}

// proof is the newest test with the appliance in place that somebody interpreted.
func (p *Patient) proof() (chart.SleepTest, bool) {
	for i := len(p.Tests) - 1; i >= 0; i-- {
		if x := p.Tests[i]; x.InPlace && x.By != "" {
			return x, true
		}
	}
	return chart.SleepTest{}, false
}

// orderSteady says that the position is proved: by a test with the appliance in
// place that somebody has interpreted, and where that leaves a doubt, by the
// clinician's own yes to it.
func (t *turn) orderSteady(o Order, who practice.Staff) {
	doubts, proved := SteadyDoubts(t.p)
	switch {
	case !proved:
		t.ordered(o, who, "order.steady.none")
		return
	case len(doubts) > 0 && !o.Sure:
		t.answerTo(o.Chat, who, append([]message.Line{message.Say("order.steady.sure", message.ArgS("label", t.p.Label))},
			doubts...)...)
		return
	case t.refused(o, who, t.p.Course.Steady(t.coming())):
		return
	}
	for _, x := range doubts {
		t.log("steady.sure", message.ArgS("by", who.ID), message.ArgS("doubt", x.Key))
	}
	t.closeWhy(WhyTest, who.ID)
	if t.p.Physician != "" {
		t.toDesk(redflag.ClassN, WhyLetter, "")
	}
	t.nextMilestone(mileHalf)
	t.startCheckins() // a plan that ended while stepping had stopped them
	t.ordered(o, who, "order.steady")
	t.informTonight(message.Say("told.steady")) // no step away from what is proved
}
