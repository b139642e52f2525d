package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

// ahead tells what a plan that is not signed yet would do: to tonight, to the date of
// the ceiling, and to what was ordered under the plan in force.
func (t *turn) ahead(next chart.Plan) []message.Line {
	c, night := &t.p.Course, t.coming()
	if c.State <= chart.Consented || !t.running() {
		return append([]message.Line{message.Say("ahead.idle", message.ArgK("state", "desk.state."+c.State.String()))},
			Waiting(t.p.Escalations, "")...)
	}
	next.Fitted, next.Rev = t.p.Plan.Fitted, t.p.Plan.Rev+1
	old, new := t.facts(), t.facts()
	new.Plan = &next
	then := t.twin()
	then.Renew(new, night)
	a, _ := then.Advise(new, night)
	was := c.Preview(old, night)
	lines := []message.Line{message.Say("ahead.tonight", message.ArgD("date", night),
		message.ArgK("action", "desk.action."+a.Action.String()), message.ArgN("to", int(a.To)), message.ArgS("rule", a.Rule.ID()))}
	if was.Action != chart.NoAction && (was.Action != a.Action || was.To != a.To) {
		lines = append(lines, message.Say("ahead.instead", message.ArgK("action", "desk.action."+was.Action.String()),
			message.ArgN("to", int(was.To)), message.ArgS("rule", was.Rule.ID())))
	}
	lines = append(lines, t.reaches("ahead.ceiling", new), t.reaches("ahead.before", old))
	return append(append(lines, t.ordersUnder(&next)...), Waiting(t.p.Escalations, "")...)
}

// Waiting says how much of a patient's is open, and which of it is the most urgent, with
// its words: whoever decides about a plan or a position has to know. What is decided by
// that itself is left out.
func Waiting(open []Escalation, decided string) []message.Line {
	var worst *Escalation
	n := 0
	for i := range open {
		x := &open[i]
		if x.Reason == decided {
			continue
		}
		if n++; worst == nil || x.before(worst) {
			worst = x
		}
	}
	if n == 0 {
		return nil
	}
	lines := []message.Line{message.Say("ahead.waiting", message.ArgN("n", n), message.ArgK("class", "desk.class."+string(rune(worst.Class|0x20))),
		message.ArgK("reason", ReasonKey(worst.Reason)))}
	if worst.Quote != "" {
		lines = append(lines, message.Say("desk.card.quote", message.ArgS("text", worst.Quote)))
	}
	return lines
}

// before reports whether x is named rather than y: the class, then what is or may be a
// danger, then words that nobody has read.
func (x *Escalation) before(y *Escalation) bool {
	if x.Class != y.Class {
		return x.Class.Worse(y.Class)
	}
	danger := func(e *Escalation) bool { return e.Unsure || redflag.Find(e.Reason) != nil }
	if danger(x) != danger(y) {
		return danger(x)
	}
	return x.Unread && !y.Unread
}

// twin is a copy of the course that can be lived on without a trace.
func (t *turn) twin() pacing.Course {
	c := t.p.Course
	c.Flags = slices.Clone(c.Flags)
	return c
}

// reaches says when the ceiling could be reached at the earliest.
func (t *turn) reaches(key string, f pacing.Facts) message.Line {
	ceiling := message.ArgN("n", int(f.Plan.Limits.Ceiling))
	switch on, ok := t.earliest(f); {
	case t.p.Course.Left >= f.Plan.Limits.Ceiling:
		return message.Say(key+".there", ceiling)
	case ok:
		return message.Say(key, ceiling, message.ArgD("date", on))
	}
	return message.Say(key+".never", ceiling, message.ArgD("date", f.Plan.Ends))
}

// earliest is the first night on which the ceiling could be worn, by the rules
// themselves: as if every night were worn and easy, somebody still heard snoring, and
// a person granted and released what waits for one.
func (t *turn) earliest(f pacing.Facts) (civil.Date, bool) {
	plan, c := *f.Plan, t.twin()
	plan.Limits.ReleaseByHand, plan.Limits.WeeklyNeeded = false, false
	f.Plan, f.Held, f.Unread, f.Unheard = &plan, false, false, false
	night := t.coming()
	c.Renew(f, night)
	offset := t.p.Appliance.Offset
	if !t.p.Appliance.TwoSided {
		offset = 0
	}
	for range chart.LongestPlan {
		if night > plan.Ends {
			return 0, false
		}
		c.Contact(night)
		a := c.Preview(f, night)
		if pacing.Reviews().Has(a.Rule) {
			c.Grant(f, night, plan.Limits.Ceiling, 0, "")
		}
		a, _ = c.Advise(f, night)
		if a.Action == chart.LeaveOut {
			return 0, false
		}
		c.Confirm(f, night, a.To, a.To+offset)
		if a.To >= plan.Limits.Ceiling {
			return night, true
		}
		for _, easy := range [...]struct {
			field chart.Field
			n     int
		}{{chart.Worn, chart.WornAll}, {chart.Pain, 0}, {chart.Guide, chart.Yes}, {chart.Bite, chart.BiteBoth}, {chart.BiteMinutes, 5},
			{chart.Reporter, t.p.Baseline.Reporter.N()}, {chart.Snoring, int(plan.Limits.Loud) - 1}} {
			if easy.field == chart.Snoring && t.p.Baseline.Reporter.Is(chart.ReporterNobody) {
				continue
			}
			c.Answer(f, night, easy.field, chart.Num(easy.n), chart.FromPatient)
		}
		night++
	}
	return 0, false
}

// ordersUnder says what becomes of what is open: grants, orders, a released step, the
// comfort limit, and flags, which no plan releases.
func (t *turn) ordersUnder(next *chart.Plan) []message.Line {
	c := &t.p.Course
	var out []message.Line
	say := func(is bool, key string, n chart.Steps) {
		if is {
			out = append(out, message.Say(key, message.ArgN("n", int(n))))
		}
	}
	top := next.Limits.Ceiling
	say(c.GrantTo > 0 && c.GrantTo <= top, "ahead.grant", c.GrantTo)
	say(c.GrantTo > top, "ahead.grant.cut", top)
	say(c.OrderTo > 0 && c.OrderTo <= top, "ahead.order", c.OrderTo)
	say(c.OrderTo > top, "ahead.order.cut", top)
	say(c.Freed > 0, "ahead.freed", c.Freed)
	say(c.Limited && c.Limit < top, "ahead.comfort", c.Limit)
	say(len(c.Flags) > 0, "ahead.flags", chart.Steps(len(c.Flags)))
	say(t.p.HeldIn(t.pr), "ahead.held", 0)
	if len(out) == 0 && len(t.p.Escalations) == 0 {
		out = append(out, message.Say("ahead.none"))
	}
	return out
}
