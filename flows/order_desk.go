package flows

// Orders that are not about wear, pain, teeth or bite: contacts, answers given
// by telephone, phones and journeys.

// orderContact records a contact. A clinician's restarts the contact clock;
// anybody's ends a silence.
func (t *turn) orderContact(o Order, who Staff) {
	if who.Role >= Clinician && t.p.Course.State > Consented {
		t.p.Course.Contact(t.coming())
		t.closeWhy(WhyReview, who.ID)
	}
	t.p.Talk.Silent = 0
	t.closeWhy(WhySilence, who.ID)
	t.ordered(o, who, "order.contact")
}

// orderTranscribe writes answers given by telephone: as if typed, with their
// source.
func (t *turn) orderTranscribe(o Order, who Staff) {
	e, tonight := o.Entry, t.nights()
	if e == nil || e.Night > tonight || e.Night <= tonight-Date(len(t.p.Course.Nights)) || e.Night < t.p.Plan.Fitted {
		t.ordered(o, who, "order.night.bad")
		return
	}
	n := 0
	var raised []Raised
	c := &t.p.Course
	left, right := e.V[SettingLeft], e.V[SettingRight]
	for f := NoField + 1; f < NumFields; f++ {
		v := e.V[f]
		if v == Unknown || f == SettingLeft || f == SettingRight {
			continue
		}
		raised = append(raised, c.Answer(t.facts(), e.Night, f, v, Transcribed)...)
		n++
	}
	if left.Known() {
		r := Steps(left.N())
		if right.Known() {
			r = Steps(right.N())
		} else if t.p.Appliance.TwoSided {
			r += t.p.Appliance.Offset
		}
		raised = append(raised, c.Confirm(t.facts(), e.Night, Steps(left.N()), r)...)
		n++
	}
	if n == 0 {
		t.ordered(o, who, "order.night.empty")
		return
	}
	t.note(e.Night, Transcribed)
	t.p.Talk.Silent = 0
	t.closeWhy(WhySilence, who.ID)
	t.ordered(o, who, "order.transcribed", ArgN("count", n), ArgD("date", e.Night))
	t.raise(raised, "")
	t.readvise()
}

// orderRebind lets the old phone go and makes a new code.
func (t *turn) orderRebind(o Order, who Staff) {
	if len(o.Code) < 8 {
		t.ordered(o, who, "order.text")
		return
	}
	t.unbind("join.ended")
	t.away()
	t.closeWhy(WhyBounce, who.ID)
	t.closeWhy(WhyUnused, who.ID)
	t.invite(o.Code, o.Chat, who, []Line{Say("order.rebound", ArgS("label", t.p.Label))})
	t.office("unused", t.pr.NextMorning(t.e.Office))
}

// orderUnbind lets a lost phone go at once.
func (t *turn) orderUnbind(o Order, who Staff) {
	if t.p.Chat == 0 {
		t.ordered(o, who, "order.confirm.none")
		return
	}
	t.unbind("join.ended")
	t.dropCode()
	t.away()
	t.closeWhy(WhyBounce, who.ID)
	t.ordered(o, who, "order.unbound")
	if t.p.Course.State != Ended {
		t.office("unused", t.pr.NextMorning(t.e.Office))
	}
}

// orderMove notes a journey or another language.
func (t *turn) orderMove(o Order, who Staff) {
	if o.Zone != "" && o.Zone != t.p.Zone {
		t.journey(o.Zone)
	}
	for _, l := range t.pr.Langs {
		if l == o.Lang && l != t.p.Lang {
			t.p.Lang = l
			if t.p.Chat != 0 {
				t.tell(Target{Chat: t.p.Chat}, t.bound())
			}
		}
	}
	t.ordered(o, who, "order.moved")
}
