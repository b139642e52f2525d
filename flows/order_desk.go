package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Orders that are not about wear, pain, teeth or bite: contacts, answers given
// by telephone, phones and journeys.

// orderContact records a contact. A clinician's restarts the contact clock;
// anybody's ends a silence.
func (t *turn) orderContact(o Order, who practice.Staff) {
	if who.Role >= practice.Clinician && t.p.Course.State > chart.Consented {
		t.p.Course.Contact(t.coming())
		t.closeWhy(WhyReview, who.ID)
	}
	t.noted(o, who, nil)
	t.p.Talk.Silent = 0
	t.read(0)
	t.closeWhy(WhySilence, who.ID)
	t.closeWhy(WhyMile, who.ID)
	t.closeWhy(WhyCall, who.ID) // the call that was promised
	t.ordered(o, who, "order.contact")
}

// orderTranscribe writes answers given by telephone or on paper: as if typed, with
// their source; those of several nights together, or none where one cannot be written.
func (t *turn) orderTranscribe(o Order, who practice.Staff) {
	if o.Entry == nil {
		t.ordered(o, who, "order.night.bad")
		return
	}
	all, tonight := append([]chart.Entry{*o.Entry}, o.More...), t.nights()
	for i := range all {
		if e := &all[i]; e.Night > tonight || e.Night <= tonight-civil.Date(len(t.p.Course.Nights)) || e.Night < t.p.Plan.Fitted {
			t.ordered(o, who, "order.night.bad")
			return
		}
	}
	n := 0
	var raised []redflag.Raised
	for i := range all {
		wrote, rs := t.transcribe(&all[i])
		if wrote > 0 {
			t.note(all[i].Night, chart.Transcribed)
		}
		n, raised = n+wrote, append(raised, rs...)
	}
	if n == 0 {
		t.ordered(o, who, "order.night.empty")
		return
	}
	t.p.Talk.Silent = 0
	t.closeWhy(WhySilence, who.ID)
	if len(all) > 1 {
		t.ordered(o, who, "order.transcribed.nights", message.ArgN("count", len(all)), message.ArgN("answers", n))
	} else {
		t.ordered(o, who, "order.transcribed", message.ArgN("count", n), message.ArgD("date", all[0].Night))
	}
	t.raise(raised, "")
	t.readvise()
}

// written is what the diary has of the nights of some answers, before they are written.
func (t *turn) written(all []chart.Entry) (out []chart.Entry) {
	c := &t.p.Course
	for i := range min(int(c.N), len(c.Nights)) {
		if slices.ContainsFunc(all, func(e chart.Entry) bool { return e.Night == c.Nights[i].Night }) {
			out = append(out, c.Nights[i])
		}
	}
	return out
}

// transcribe writes the answers of one night, and gives how many there were.
func (t *turn) transcribe(e *chart.Entry) (n int, raised []redflag.Raised) {
	c := &t.p.Course
	left, right := e.V[chart.SettingLeft], e.V[chart.SettingRight]
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		v := e.V[f]
		if v == chart.Unknown || f == chart.SettingLeft || f == chart.SettingRight {
			continue
		}
		raised = append(raised, c.Answer(t.facts(), e.Night, f, v, chart.Transcribed)...)
		n++
	}
	if left.Known() {
		r := chart.Steps(left.N())
		if right.Known() {
			r = chart.Steps(right.N())
		} else if t.p.Appliance.TwoSided {
			r += t.p.Appliance.Offset
		}
		raised = append(raised, c.Confirm(t.facts(), e.Night, chart.Steps(left.N()), r)...)
		n++
	}
	return n, raised
}

// orderRebind lets the old phone go and makes a new code.
func (t *turn) orderRebind(o Order, who practice.Staff) {
	if len(o.Code) < 8 {
		t.ordered(o, who, "order.text")
		return
	}
	t.unbind("join.ended")
	t.forgetChat()
	t.closeWhy(WhyBounce, who.ID)
	t.closeWhy(WhyUnused, who.ID)
	t.invite(o.Code, o.Chat, who, []message.Line{message.Say("order.rebound", message.ArgS("label", t.p.Label))})
	t.office("unused", t.pr.NextMorning(t.e.Office))
}

// orderUnbind lets a lost phone go at once.
func (t *turn) orderUnbind(o Order, who practice.Staff) {
	if t.p.Chat == 0 {
		t.ordered(o, who, "order.confirm.none")
		return
	}
	t.unbind("join.ended")
	t.dropCode()
	t.forgetChat()
	t.closeWhy(WhyBounce, who.ID)
	t.ordered(o, who, "order.unbound")
	if t.p.Course.State != chart.Ended {
		t.office("unused", t.pr.NextMorning(t.e.Office))
	}
}

// orderMove notes a journey, other hours or another language. Hours stay in their half
// of the day as it was signed; that is no new revision.
func (t *turn) orderMove(o Order, who practice.Staff) {
	plan := t.p.Plan
	for _, x := range [...]struct {
		to      civil.Clock
		morning bool
	}{{o.Evening, false}, {o.Morning, true}} {
		switch {
		case x.to == 0:
		case !plan.InHalf(x.to-1, x.morning):
			t.log("order.refused", message.ArgS("op", o.Op.String()), message.ArgS("by", who.ID), message.ArgS("why", "hours"))
			t.ordered(o, who, "order.hours.bad", message.ArgC("time", x.to-1))
			return
		default:
			plan = plan.Moved(x.to-1, x.morning)
		}
	}
	if plan.Evening != t.p.Plan.Evening || plan.Morning != t.p.Plan.Morning {
		t.p.Plan = plan
		t.log("hours.moved", message.ArgS("by", who.ID), message.ArgC("evening", plan.Evening), message.ArgC("morning", plan.Morning))
		if t.running() && t.trusted() {
			t.startCheckins()
		}
		t.inform(message.Say("told.hours", message.ArgC("evening", plan.Evening), message.ArgC("morning", plan.Morning)))
	}
	done := []message.Line{message.Say("order.moved", message.ArgS("label", t.p.Label))}
	if o.Zone != "" && o.Zone != t.p.Zone {
		t.changeZone(o.Zone)
		done = append(done, message.Say("order.moved.zone"))
	}
	for _, l := range t.pr.Langs {
		if l == o.Lang && l != t.p.Lang {
			t.p.Lang = l
			if t.p.Chat != 0 {
				t.tell(Target{Chat: t.p.Chat}, t.bound())
			}
		}
	}
	t.answerTo(o.Chat, who, done...)
}
