package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

// question is one row of a check-in: what is asked, of which night, when, and
// which quick answers stand under it. Every question also takes a typed answer,
// and can be skipped.
type question struct {
	field chart.Field
	late  bool                              // about the night before the check-in's own: what an evening asks of last night
	again bool                              // asked once in its check-in even where an answer is known: it may have changed
	key   string                            // empty: "ask." and the field's name
	when  func(*context) bool               // nil: always
	rows  func(*context) [][]message.Choice // nil: every answer, where there are a few
}

// The questions, in the order they are asked. What can change tonight's advice
// comes before it; the advice itself, and the answer to it, follow the last one.
var (
	morningAsks = [...]question{
		{field: chart.SettingLeft, key: "ask.setting.last", when: (*context).unsaid, rows: (*context).stands},
		{field: chart.SettingRight, key: "ask.setting.right", when: (*context).otherSide, rows: (*context).counts},
		{field: chart.Worn, when: (*context).wearUnknown, rows: (*context).wear},
		{field: chart.WornMinutes, key: "ask.hours", when: (*context).partly, rows: (*context).hours},
		{field: chart.NotWorn, key: "ask.why", when: (*context).unworn, rows: (*context).reasons},
		{field: chart.Reporter, when: (*context).reporterUnknown},
		{field: chart.Snoring, when: (*context).heard, rows: (*context).snores},
		{field: chart.Unusual, when: (*context).louder},
		{field: chart.Pain, rows: (*context).pains},
		{field: chart.Woken, when: (*context).aches},
		{field: chart.Where, when: (*context).placed, rows: (*context).sites},
		{field: chart.Gone, key: "ask.gone.yet", when: (*context).hurts, rows: (*context).goneYet},
		{field: chart.Guide, when: (*context).guided},
		{field: chart.Bite, when: (*context).biteUnknown},
		{field: chart.BiteMinutes, key: "ask.bite.now", when: (*context).recheckDue, rows: (*context).biteBack},
	}
	eveningAsks = [...]question{
		{field: chart.Pain, late: true, key: "ask.pain.since", when: (*context).nightBefore, rows: (*context).pains},
		{field: chart.Gone, late: true, again: true, key: "ask.gone.when", when: (*context).goneOpen},
		{field: chart.BiteMinutes, late: true, again: true, key: "ask.bite.since", when: (*context).biteOpen, rows: (*context).biteSince},
		{field: chart.Wrong},
		{field: chart.SettingLeft, late: true, again: true, key: "ask.count", when: (*context).countOpen, rows: (*context).counts},
		{field: chart.SettingRight, late: true, again: true, key: "ask.setting.right", when: (*context).countRight, rows: (*context).counts},
		{field: chart.Nose, when: (*context).lipSeal},
		{field: chart.Driving, when: (*context).drivingDue},
		{field: chart.HeadacheDays, when: (*context).headaches},
	}
	weeklyAsks = [...]question{
		{field: chart.Sleepiness},
		{field: chart.Pauses},
		{field: chart.Headache},
		{field: chart.HeadacheDays, when: (*context).headaches},
		{field: chart.New},
		{field: chart.Driving},
	}
	recheckAsks = [...]question{
		{field: chart.BiteMinutes, key: "ask.bite.now", when: (*context).biteAway, rows: (*context).biteBack},
	}
)

// asks returns the questions of a check-in.
func (s CheckIn) asks() []question {
	switch s {
	case MorningCheck:
		return morningAsks[:]
	case EveningCheck:
		return eveningAsks[:]
	case WeeklyCheck:
		return weeklyAsks[:]
	case Recheck:
		return recheckAsks[:]
	}
	return nil
}

// asked reports whether a check-in asks for a field.
func asked(f chart.Field) bool {
	for s := NoCheckIn; s <= WeeklyCheck; s++ {
		for _, q := range s.asks() {
			if q.field == f {
				return true
			}
		}
	}
	return false
}

// context is what the conditions of questions see.
type context struct {
	p     *Patient
	out   *Out
	night civil.Date  // the check-in's own
	now   chart.Entry // that night
	on    civil.Date  // the night last asked about: the own one in the morning, the one before in the evening
	last  chart.Entry // that night
	short bool

	proof   bool // a morning that asks for the proof of the position alone
	reports int  // of snoring at this setting
}

// contextOf gathers it for a check-in of a night, in the turn's own room: one at a
// time is looked at.
func (t *turn) contextOf(s CheckIn, night civil.Date) *context {
	l := &t.looking
	*l = context{p: t.p, out: &t.out, night: night, on: night}
	if s == EveningCheck || s == WeeklyCheck {
		l.on--
	}
	l.now, _ = t.p.Course.Entry(night)
	l.last, _ = t.p.Course.Entry(l.on)
	l.short = t.p.Talk.Quiet >= QuietNights || t.p.Talk.Silent >= silentNights
	if l.proof = s == MorningCheck && t.p.proving() && t.p.Talk.Weekly != night; l.proof {
		l.reports = t.p.Course.Reports(t.facts())
	}
	return l
}

// about is the entry and the night a question is about.
func (l *context) about(q *question) (*chart.Entry, civil.Date) {
	if q.late {
		return &l.last, l.on
	}
	return &l.now, l.night
}

// open reports whether a question is still to be asked.
func (l *context) open(q *question) bool {
	e, _ := l.about(q)
	if l.p.Talk.Asked&(1<<q.field) != 0 || !q.again && e.V[q.field] != chart.Unknown {
		return false
	}
	if l.proof && !l.ofProof(q.field) {
		return false
	}
	return q.when == nil || q.when(l)
}

// Bounds of the questions.
const (
	QuietNights  = 14 // quiet nights in a row after which the form is shorter
	silentNights = 2  // silent nights in a row after which it is shorter, too
	placedPain   = 5  // from here on it is asked where it hurts
	louderBy     = 3  // points above the mean of the newest four reports from which it is asked what was unusual
	worseBy      = 2  // points above the last known night that count as changed
	hourPassed   = 61 // minutes kept of a bite that was not back at the recheck: more than 60
	highSleepy   = 7  // sleepiness from which driving is asked next; 2 above the baseline asks it too
)

func (l *context) unsaid() bool {
	c := &l.p.Course
	return l.last.Action > chart.LeaveOut && l.last.V[chart.SettingLeft] == chart.Unknown && c.SetOn < l.on
}

func (l *context) otherSide() bool {
	return l.p.Appliance.TwoSided && l.last.V[chart.SettingLeft].Known()
}

func (l *context) wearUnknown() bool {
	return !l.last.V[chart.WornMinutes].Known() && !l.last.V[chart.NotWorn].Known()
}

func (l *context) partly() bool { return l.last.V[chart.Worn].Is(chart.WornPart) }

func (l *context) unworn() bool {
	w, m := l.last.V[chart.Worn], l.last.V[chart.WornMinutes]
	if l.last.Action == chart.LeaveOut && w.Is(chart.WornNo) {
		return false // it was to be left out
	}
	return w.Is(chart.WornNo) || w.Is(chart.WornPart) || w == chart.Unknown && m.Known() &&
		m.N() < int(l.p.Plan.Limits.WornMinutes)
}

func (l *context) worn() bool { return !l.last.V[chart.Worn].Is(chart.WornNo) }

// reporter is who reports snoring: as the patient said, else as the plan says.
func (p *Patient) reporter() chart.Answer {
	if p.Talk.Reporter.Known() {
		return p.Talk.Reporter
	}
	return p.Baseline.Reporter
}

func (l *context) reporterUnknown() bool { return !l.p.reporter().Known() && l.worn() }

func (l *context) heard() bool { return l.worn() && !l.p.reporter().Is(chart.ReporterNobody) }

// louder reports whether the night was much louder than the four reports before it.
func (l *context) louder() bool {
	c, by := &l.p.Course, l.p.Baseline.Reporter
	score, heard := l.last.Snored(by)
	if !heard || score < louderBy {
		return false
	}
	sum, n := 0, 0
	for i := int(c.N) - 1; i >= 0 && n < pacing.PoolNights; i-- {
		e := &c.Nights[i]
		if s, ok := e.Usable(by, l.p.Plan.Limits.WornMinutes); ok && e.Night < l.on {
			sum, n = sum+s, n+1
		}
	}
	return n == pacing.PoolNights && pacing.PoolNights*score >= sum+pacing.PoolNights*louderBy
}

// headaches reports whether it is asked on how many mornings there was one.
func (l *context) headaches() bool { return l.now.V[chart.Headache].Is(chart.Yes) }

// hurts reports whether pain was above the baseline.
func (l *context) hurts() bool { n, known := l.last.Pain(&l.p.Baseline); return known && n > 0 }

// aches reports whether it is asked if pain woke the patient: at any pain, but one
// that stops the night by itself.
func (l *context) aches() bool { return l.hurts() && !l.last.V[chart.Pain].AtLeast(chart.ModestPain+1) }

func (l *context) placed() bool {
	if !l.hurts() {
		return false
	}
	if l.last.V[chart.Pain].AtLeast(placedPain) {
		return true
	}
	before, ok := l.p.Course.Entry(l.on - 1)
	return ok && before.V[chart.Pain].Known() && l.last.V[chart.Pain].N() >= before.V[chart.Pain].N()+worseBy
}

func (l *context) guided() bool {
	return l.p.Appliance.Guide && l.worn() && l.last.V[chart.GuideMinutes] == chart.Unknown
}

func (l *context) biteUnknown() bool { return l.worn() && l.last.V[chart.BiteMinutes] == chart.Unknown }

// biteAway reports whether the bite was not back in the morning, and nothing is
// known since.
func (l *context) biteAway() bool {
	b := l.last.V[chart.Bite]
	return b.Known() && !b.Is(chart.BiteBoth) && l.last.V[chart.BiteMinutes] == chart.Unknown
}

func (l *context) recheckDue() bool { return l.last.Asked&askedAgain != 0 && l.biteAway() }

// nightBefore reports whether there was a night before this evening.
func (l *context) nightBefore() bool { return l.p.Course.Advices > 0 && l.last.Night == l.on }

func (l *context) goneOpen() bool {
	g := l.last.V[chart.Gone]
	return l.hurts() && (!g.Known() || g.Is(chart.GoneNo))
}

func (l *context) biteOpen() bool { return l.biteAway() || l.last.V[chart.BiteMinutes].Is(hourPassed) }

// countOpen reports whether it is to be read off the appliance: in doubt, last
// night's setting not said, or once a week.
func (l *context) countOpen() bool {
	return l.p.Course.InDoubt || l.unsaid() || l.p.weeklyDue(l.night)
}

func (l *context) countRight() bool {
	return l.p.Appliance.TwoSided && l.p.Talk.Asked&(1<<chart.SettingLeft) != 0 && l.last.V[chart.SettingLeft].Known()
}

// lipSeal reports whether it is asked whether the nose is free: with a lip-seal
// part that is not to stay off.
func (l *context) lipSeal() bool {
	return l.p.Appliance.LipSeal && !l.p.sealOff()
}

// drivingDue: on the first evening, after a high sleepiness score, and nightly
// where the plan says so; weekly with the other weekly questions.
func (l *context) drivingDue() bool {
	return l.p.Course.Advices == 0 || l.p.Plan.Limits.DrivingNightly || l.drowsy(&l.now) || l.drowsy(&l.last) &&
		!l.last.V[chart.Driving].Known()
}

func (l *context) drowsy(e *chart.Entry) bool {
	s, b := e.V[chart.Sleepiness], l.p.Baseline.Sleepy
	return s.AtLeast(highSleepy) || b.Known() && s.AtLeast(b.N()+redflag.SleepierBy)
}
