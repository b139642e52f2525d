package flows

// question is one row of a check-in: what is asked, of which night, when, and
// which quick answers stand under it. Every question also takes a typed answer,
// and can be skipped.
type question struct {
	field Field
	late  bool // about the night before the check-in's own: what an evening asks of last night
	again bool // asked once in its check-in even where an answer is known: it may have changed
	key   string
	when  func(*look) bool // nil: always
	rows  func(*look) [][]Choice
}

// The questions, in the order they are asked. What can change tonight's advice
// comes before it; the advice itself, and the answer to it, follow the last one.
var (
	morningAsks = [...]question{
		{field: SettingLeft, key: "ask.setting.last", when: (*look).unsaid, rows: (*look).stands},
		{field: SettingRight, key: "ask.setting.right", when: (*look).otherSide, rows: (*look).counts},
		{field: Worn, key: "ask.worn", when: (*look).wearUnknown, rows: (*look).wear},
		{field: WornMinutes, key: "ask.hours", when: (*look).partly, rows: (*look).hours},
		{field: NotWorn, key: "ask.why", when: (*look).unworn, rows: (*look).reasons},
		{field: Reporter, key: "ask.reporter", when: (*look).reporterUnknown, rows: (*look).reporters},
		{field: Snoring, key: "ask.snoring", when: (*look).heard, rows: (*look).snores},
		{field: Pain, key: "ask.pain", rows: (*look).pains},
		{field: Woken, key: "ask.woken", when: (*look).moderate, rows: (*look).yesNo},
		{field: Where, key: "ask.where", when: (*look).placed, rows: (*look).sites},
		{field: Gone, key: "ask.gone.yet", when: (*look).hurts, rows: (*look).goneYet},
		{field: Guide, key: "ask.guide", when: (*look).guided, rows: (*look).yesNo},
		{field: Bite, key: "ask.bite", when: (*look).biteUnknown, rows: (*look).bites},
		{field: BiteMinutes, key: "ask.bite.now", when: (*look).recheckDue, rows: (*look).biteBack},
	}
	eveningAsks = [...]question{
		{field: Pain, late: true, key: "ask.pain.since", when: (*look).nightBefore, rows: (*look).pains},
		{field: Gone, late: true, again: true, key: "ask.gone.when", when: (*look).goneOpen, rows: (*look).goneWhen},
		{field: BiteMinutes, late: true, again: true, key: "ask.bite.since", when: (*look).biteOpen, rows: (*look).biteSince},
		{field: Wrong, key: "ask.wrong", rows: (*look).yesNo},
		{field: SettingLeft, late: true, again: true, key: "ask.count", when: (*look).countOpen, rows: (*look).counts},
		{field: SettingRight, late: true, again: true, key: "ask.setting.right", when: (*look).countRight, rows: (*look).counts},
		{field: Nose, key: "ask.nose", when: (*look).lipSeal, rows: (*look).yesNo},
		{field: Driving, key: "ask.driving", when: (*look).drivingDue, rows: (*look).drives},
	}
	weeklyAsks = [...]question{
		{field: Sleepiness, key: "ask.sleepiness", rows: (*look).sleepy},
		{field: Pauses, key: "ask.pauses", rows: (*look).yesNo},
		{field: Headache, key: "ask.headache", rows: (*look).yesNo},
		{field: Driving, key: "ask.driving", rows: (*look).drives},
	}
	recheckAsks = [...]question{
		{field: BiteMinutes, key: "ask.bite.now", when: (*look).biteAway, rows: (*look).biteBack},
	}
)

// asks returns the questions of a check-in.
func (s Script) asks() []question {
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

// look is what the conditions of questions see.
type look struct {
	p     *Patient
	out   *Out
	night Date  // the check-in's own
	now   Entry // that night
	on    Date  // the night last asked about: the own one in the morning, the one before in the evening
	last  Entry // that night
	short bool
}

// look gathers it for a check-in of a night, in the turn's own room: one at a
// time is looked at.
func (t *turn) look(s Script, night Date) *look {
	l := &t.looking
	*l = look{p: t.p, out: &t.out, night: night, on: night}
	if s == EveningCheck || s == WeeklyCheck {
		l.on--
	}
	l.now, _ = t.p.Course.Entry(night)
	l.last, _ = t.p.Course.Entry(l.on)
	l.short = t.p.Talk.Quiet >= quietNights || t.p.Talk.Silent >= silentNights
	return l
}

// about is the entry and the night a question is about.
func (l *look) about(q *question) (*Entry, Date) {
	if q.late {
		return &l.last, l.on
	}
	return &l.now, l.night
}

// open tells whether a question is still to be asked.
func (l *look) open(q *question) bool {
	e, _ := l.about(q)
	if l.p.Talk.Asked&(1<<q.field) != 0 || !q.again && e.V[q.field] != Unknown {
		return false
	}
	return q.when == nil || q.when(l)
}

// Bounds of the questions.
const (
	quietNights  = 14 // quiet nights in a row after which the form is shorter
	silentNights = 2  // silent nights in a row after which it is shorter, too
	moderatePain = 4  // from here on it is asked whether pain woke the patient: moderate begins at 4 on a 0-10 scale, common practice
	placedPain   = 5  // from here on it is asked where it hurts
	worseBy      = 2  // points above the last known night that count as changed
	hourPassed   = 61 // minutes kept of a bite that was not back at the recheck: more than 60
	highSleepy   = 7  // sleepiness from which driving is asked next; 2 above the baseline asks it too
)

func (l *look) unsaid() bool {
	c := &l.p.Course
	return l.last.Action > LeaveOut && l.last.V[SettingLeft] == Unknown && c.SetOn < l.on
}

func (l *look) otherSide() bool { return l.p.Appliance.TwoSided && l.last.V[SettingLeft].Known() }

func (l *look) wearUnknown() bool {
	return !l.last.V[WornMinutes].Known() && !l.last.V[NotWorn].Known()
}

func (l *look) partly() bool { return l.last.V[Worn].Is(WornPart) }

func (l *look) unworn() bool {
	w, m := l.last.V[Worn], l.last.V[WornMinutes]
	if l.last.Action == LeaveOut && w.Is(WornNo) {
		return false // it was to be left out
	}
	return w.Is(WornNo) || w.Is(WornPart) || w == Unknown && m.Known() && m.N() < int(l.p.Plan.Limits.WornMinutes)
}

func (l *look) worn() bool { return !l.last.V[Worn].Is(WornNo) }

// reporter is who reports snoring: as the patient said, else as the plan says.
func (p *Patient) reporter() Value {
	if p.Talk.Reporter.Known() {
		return p.Talk.Reporter
	}
	return p.Baseline.Reporter
}

func (l *look) reporterUnknown() bool { return !l.p.reporter().Known() && l.worn() }

func (l *look) heard() bool { return l.worn() && !l.p.reporter().Is(ReporterNobody) }

// hurts tells whether pain was above the baseline.
func (l *look) hurts() bool { n, known := l.last.pain(&l.p.Baseline); return known && n > 0 }

func (l *look) moderate() bool {
	return l.hurts() && l.last.V[Pain].AtLeast(moderatePain) && !l.last.severe()
}

func (l *look) placed() bool {
	if !l.hurts() {
		return false
	}
	if l.last.V[Pain].AtLeast(placedPain) {
		return true
	}
	before, ok := l.p.Course.Entry(l.on - 1)
	return ok && before.V[Pain].Known() && l.last.V[Pain].N() >= before.V[Pain].N()+worseBy
}

func (l *look) guided() bool {
	return l.p.Appliance.Guide && l.worn() && l.last.V[GuideMinutes] == Unknown
}

func (l *look) biteUnknown() bool { return l.worn() && l.last.V[BiteMinutes] == Unknown }

// biteAway tells whether the bite was not back in the morning, and nothing is
// known since.
func (l *look) biteAway() bool {
	b := l.last.V[Bite]
	return b.Known() && !b.Is(BiteBoth) && l.last.V[BiteMinutes] == Unknown
}

func (l *look) recheckDue() bool { return l.last.Asked&askedAgain != 0 && l.biteAway() }

// nightBefore tells whether there was a night before this evening.
func (l *look) nightBefore() bool { return l.p.Course.Advices > 0 && l.last.Night == l.on }

func (l *look) goneOpen() bool {
	g := l.last.V[Gone]
	return l.hurts() && (!g.Known() || g.Is(GoneNo))
}

func (l *look) biteOpen() bool { return l.biteAway() || l.last.V[BiteMinutes].Is(hourPassed) }

// countOpen tells whether it is to be read off the appliance: in doubt, last
// night's setting not said, or once a week.
func (l *look) countOpen() bool {
	return l.p.Course.InDoubt || l.unsaid() || l.p.weeklyDue(l.night)
}

func (l *look) countRight() bool {
	return l.p.Appliance.TwoSided && l.p.Talk.Asked&(1<<SettingLeft) != 0 && l.last.V[SettingLeft].Known()
}

func (l *look) lipSeal() bool { return l.p.Appliance.LipSeal }

// drivingDue: on the first evening, after a high sleepiness score, and nightly
// where the plan says so; weekly with the other weekly questions.
func (l *look) drivingDue() bool {
	return l.p.Course.Advices == 0 || l.p.Plan.Limits.DrivingNightly || l.drowsy(&l.now) || l.drowsy(&l.last) && !l.last.V[Driving].Known()
}

func (l *look) drowsy(e *Entry) bool {
	s, b := e.V[Sleepiness], l.p.Baseline.Sleepy
	return s.AtLeast(highSleepy) || b.Known() && s.AtLeast(b.N()+sleepierBy)
}
