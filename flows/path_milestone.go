package flows

import (
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// Milestones: a call after the first night, at 7, 30 and 90 days, at 6 and 12
// months and then yearly. After 1, 7 and 30 days: common practice, no source;
// 90 days and the yearly recall: doi 10.5664/jcsm.4858.
const (
	mileNone uint8 = iota
	mileFirst
	mileWeek
	mileMonth
	mileQuarter
	mileHalf
	mileYear // and every year after
)

var mileNames = [...]string{mileFirst: "first", mileWeek: "week", mileMonth: "month", mileQuarter: "quarter",
	mileHalf: "half", mileYear: "year"}

// startMilestones plans the first one and the end of the plan.
func (t *turn) startMilestones() {
	t.nextMilestone(mileFirst)
	t.planEnd()
}

// nextMilestone plans the next milestone, kind or later, that is still ahead.
func (t *turn) nextMilestone(kind uint8) {
	from := t.p.Plan.Fitted
	for k := kind; ; k++ {
		on := milestoneDate(from, t.proved(), k)
		if on > t.e.Office.Date || k > mileYear+100 {
			t.p.Review, t.p.ReviewKind = on, k
			break
		}
	}
	at := civil.Wall{Date: t.p.Review, Clock: 9 * 60}
	if opens, ok := t.pr.Opens(civil.Wall{Date: t.p.Review, Clock: 0}); ok {
		at = opens
	}
	t.office("mile", at)
}

// proved is the date that the long recalls count from: the test that proved the
// position, else fitting day.
func (t *turn) proved() civil.Date {
	for i := len(t.p.Tests) - 1; i >= 0; i-- {
		if x := &t.p.Tests[i]; x.InPlace && x.By != "" {
			return x.On
		}
	}
	return t.p.Plan.Fitted
}

// milestoneDate is the date of one milestone.
func milestoneDate(fitted, proved civil.Date, kind uint8) civil.Date {
	switch {
	case kind <= mileFirst:
		return fitted + 1
	case kind == mileWeek:
		return fitted + 7
	case kind == mileMonth:
		return fitted + 30
	case kind == mileQuarter:
		return fitted + 90
	case kind == mileHalf:
		return proved.AddMonths(6)
	}
	return proved.AddMonths(12 * int(kind-mileYear+1))
}

// milestone tells the desk, and the patient where a call or a visit is due.
func (t *turn) milestone() {
	if t.p.Course.State == chart.Ended || t.p.Course.State == chart.Invited || t.p.Review == 0 {
		return
	}
	kind := t.p.ReviewKind
	name := mileNames[min(max(kind, mileFirst), mileYear)]
	t.log("milestone", message.ArgS("kind", name))
	switch {
	case kind == mileFirst:
		t.tellMilestone(redflag.ClassN, WhyMile, name)
	case kind == mileQuarter:
		t.tellMilestone(redflag.ClassN, WhyReview, name)
	case kind >= mileYear:
		t.tellMilestone(redflag.ClassN, WhyRecall, name)
	default:
		t.tellMilestone(redflag.ClassR, WhyMile, name)
	}
	t.nextMilestone(kind + 1)
}

func (t *turn) tellMilestone(class redflag.Class, why, name string) {
	esc := t.toDesk(class, why, "")
	t.tells(esc, "mile."+name)
	if t.speaking() && !t.paused() {
		t.send(Send{Lane: LanePrompt, NotAfter: 12 * 60,
			Msg: message.Message{Lines: []message.Line{message.Say("mile."+name, t.numbers()...)}, Silent: true}})
	}
}

// planEnd sets the timer for the morning after the plan's last night.
func (t *turn) planEnd() {
	if t.p.Plan.Ends != 0 {
		t.timer("planend", civil.Wall{Date: t.p.Plan.Ends + 1, Clock: t.boundary()})
	}
}

func (t *turn) boundary() civil.Clock {
	if t.p.Plan.Boundary == 0 {
		return civil.Noon
	}
	return t.p.Plan.Boundary
}

// planEnded stops advice and prompts when the signed plan has run out; a new
// revision starts them again. From holding on nothing is stepped, so nothing
// ends: the weekly questions go on, or a relapse would go unseen.
func (t *turn) planEnded() {
	if t.p.Plan.Ends == 0 || t.nights() <= t.p.Plan.Ends || !t.running() && !t.paused() {
		return
	}
	if under := t.p.Course.OnPath(); under >= chart.Holding {
		t.log("plan.ended", message.ArgN("rev", int(t.p.Plan.Rev)))
		t.toDesk(redflag.ClassN, WhyPlanEnd, "")
		return
	}
	t.stopCheckins()
	t.withdraw("prompt")
	t.withdraw("advice")
	t.log("plan.ended", message.ArgN("rev", int(t.p.Plan.Rev)))
	t.tells(t.toDesk(redflag.ClassN, WhyPlanEnd, ""), "planend.told")
	if t.speaking() && !t.paused() {
		t.reply(message.Say("planend.told"), message.Say("pause.keep", t.numbers()...))
		t.reply(t.whenCalled(redflag.ClassN)...)
	}
}

// lifeDue takes the timers of the path.
func (t *turn) lifeDue(name string, d Due) {
	switch name {
	case "ring":
		t.ringDue(numberOf(d.Name), d.Arg)
	case "mile":
		t.milestone()
	case "planend":
		t.planEnded()
	case doubtName:
		t.doubtDue()
	case "zone":
		t.enterZone()
	case "unused":
		if t.p.Course.State != chart.Ended && t.p.Chat == 0 {
			t.dropCode()
			t.toDesk(redflag.ClassN, WhyUnused, "")
		}
	case "paused":
		if t.paused() { // paused for a week: a person asks why
			t.toDesk(redflag.ClassN, WhyPause, "")
			t.office("paused", t.pr.NextMorning(t.e.Office.Add(6*1440)))
		}
	}
}

// changeZone notes a new time zone. It takes effect at the next boundary of the
// night, so that no night is asked twice or lost.
func (t *turn) changeZone(zone string) {
	t.p.ZoneNext = zone
	at := civil.Wall{Date: t.e.Wall.Date, Clock: t.boundary()}
	if !t.e.Wall.Before(at) {
		at.Date++
	}
	t.timer("zone", at)
	t.log("zone.next", message.ArgS("zone", zone))
}

func (t *turn) enterZone() {
	if t.p.ZoneNext == "" {
		return
	}
	t.p.Zone, t.p.ZoneNext = t.p.ZoneNext, ""
	t.log("zone", message.ArgS("zone", t.p.Zone))
	if t.running() {
		t.startCheckins() // the timers again, in the new zone
		if t.speaking() {
			t.reply(message.Say("zone.now", message.ArgC("evening", t.p.Plan.Evening),
				message.ArgC("morning", t.p.Plan.Morning)))
		}
	}
}

// number and numberOf write and read the number of an escalation.
func number(n int32) string { return strconv.Itoa(int(n)) }

func numberOf(timer string) int32 {
	_, s, _ := strings.Cut(timer, ".")
	n, err := strconv.ParseInt(s, 10, 32)
	if err != nil {
		return 0
	}
	return int32(n)
}
