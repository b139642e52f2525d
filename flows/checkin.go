package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// The check-ins ask at dusk and at dawn, read what is said, and tell each
// night's setting. Each is a timer at the patient's own hour that orders the
// next one when it fires; there is one reminder, then the patient is left alone.

// Minutes of the check-ins.
const (
	RemindAfter  = 75  // the reminder, and in the evening the commit, after the prompt: design, 60 to 90
	RecheckAfter = 60  // the bite, after a morning on which it was not back
	LateEvening  = 180 // later than this a prompt is not sent, and is ours, not the patient's silence
	LateMorning  = 360
	LateAdvice   = 360 // later than this tonight's setting is of no use any more
	lateRecheck  = 60
	WeekDays     = 7
	CallSilence  = 3 // silent nights after which a person calls and prompts drop to one a day
)

// Bits of Entry.Asked.
const (
	askedEvening uint16 = 1 << iota // the evening prompt went out
	askedMorning                    // the morning prompt went out
	oursEvening                     // the evening's silence is ours
	oursMorning                     // the morning's silence is ours
	askedAgain                      // the hour for the bite to come back has passed
)

// startCheckins sets the daily timers of a patient who becomes active, or goes
// on. An evening whose hour has just passed is begun at once.
func (t *turn) startCheckins() {
	if !t.running() {
		return
	}
	night, morning := t.p.Plan.Half(t.e.Wall)
	evening := t.p.Plan.EveningAt(night)
	e, _ := t.p.Course.Entry(night)
	set := t.checkin
	switch {
	case t.e.Wall.Before(evening):
	case !morning && e.Asked&askedEvening == 0 && minutesTo(evening, t.e.Wall) < LateEvening:
		set, evening = t.timer, t.e.Wall.Add(1)
	case !morning && !t.advised(night): // asked, and paused before the advice
		t.timer("commit", t.e.Wall.Add(1))
		evening = t.p.Plan.EveningAt(night + 1)
	default:
		evening = t.p.Plan.EveningAt(night + 1)
	}
	set("evening", evening)
	dawn := t.p.Plan.MorningAt(night)
	if !t.e.Wall.Before(dawn) {
		dawn = t.p.Plan.MorningAt(night + 1)
	}
	t.checkin("morning", dawn)
}

// checkin sets the timer of a check-in, which may come a little after its hour
// where many patients' would come at once.
func (t *turn) checkin(name string, w civil.Wall) {
	t.set(SetTimer{Name: name, At: w, Slack: t.p.Plan.Slack(w)})
}

// stopCheckins takes them back, with what waits to be sent.
func (t *turn) stopCheckins() {
	for _, name := range [...]string{"evening", "morning", "commit", "remind.morning", "recheck"} {
		t.clear(name)
	}
	t.withdraw("prompt")
	t.endCheckIn()
}

func (t *turn) endCheckIn() {
	k := &t.p.Talk
	k.CheckIn, k.Open, k.Asked = NoCheckIn, chart.NoField, 0
	if k.Ask == AskNumber || k.Ask == AskEdit || k.Ask == AskWrong || k.Ask == AskSafety {
		k.Ask = NoAsk
	}
}

// checkinDue takes a timer of the check-ins.
func (t *turn) checkinDue(name string, d Due) {
	if !t.trusted() || !t.running() {
		return
	}
	night := t.p.Plan.Night(d.Scheduled)
	switch name {
	case "evening":
		t.checkin("evening", t.p.Plan.EveningAt(night+1))
		t.evening(night, d.Late)
	case "commit":
		t.remindEvening(night, d.Late)
	case "morning":
		t.checkin("morning", t.p.Plan.MorningAt(night+1))
		t.morning(night, d.Late)
	case "remind.morning":
		t.remindMorning(night, d.Late)
	case "recheck":
		t.recheck(t.lastNight(t.e.Wall), d.Late)
	}
}

// mayPrompt reports whether prompts may go out now.
func (t *turn) mayPrompt() bool { return t.speaking() && !t.pr.Rival && !t.pr.Frozen() }

// prompt makes the message of this turn a prompt: it waits behind replies, and
// is not sent when it comes too late.
func (t *turn) prompt(lane Lane, notAfter int, key string) {
	if t.answerAt == 0 {
		return
	}
	t.answer.Lane, t.answer.NotAfter = lane, notAfter
	if t.answer.Key == "" {
		t.answer.Key = key
	}
}

// markAsked notes on a night what was asked.
func (t *turn) markAsked(night civil.Date, bits uint16) {
	f := t.facts()
	f.Whole()
	if i := t.p.Course.Reach(&f, night); i >= 0 && t.p.Course.Nights[i].Asked&bits != bits {
		t.p.Course.Nights[i].Asked |= bits
		t.note(night, chart.FromBot)
	}
}

// checkinMissed notes a prompt that came too late to be sent.
func (t *turn) checkinMissed(key string) {
	if key != "prompt" && key != "advice" {
		return
	}
	switch k := &t.p.Talk; k.CheckIn {
	case EveningCheck, WeeklyCheck:
		t.markAsked(k.Night, oursEvening)
	case MorningCheck:
		t.markAsked(k.Night, oursMorning)
	}
}

// beginCheckIn begins a check-in; one that was still open is left.
func (t *turn) beginCheckIn(s CheckIn, night civil.Date) {
	t.endCheckIn()
	if t.p.Talk.Ask == AskNow { // a yes or a no is of what was asked last
		t.p.Talk.Ask, t.p.Talk.AskArg = NoAsk, ""
	}
	t.p.Talk.CheckIn, t.p.Talk.Night = s, night
}

// proceed asks the next open question of the check-in, or ends it.
func (t *turn) proceed() {
	k := &t.p.Talk
	if t.quiet() || t.hush {
		return
	}
	if !t.running() || k.CheckIn == NoCheckIn {
		k.Open = chart.NoField
		return
	}
	if t.dayWaits() {
		return
	}
	if k.Ask == AskWrong {
		t.askWrong()
		return
	}
	past := t.checkInOver()
	k.Open = chart.NoField
	if !past && !(k.CheckIn == EveningCheck && t.advised(k.Night)) {
		l := t.contextOf(k.CheckIn, k.Night)
		asks := k.CheckIn.asks()
		for i := range asks {
			if q := &asks[i]; l.open(q) {
				t.pose(q, l)
				return
			}
		}
	}
	switch k.CheckIn {
	case EveningCheck:
		t.eveningDone(past)
	case WeeklyCheck:
		t.weeklyDone()
	case MorningCheck:
		t.morningDone()
	default:
		t.endCheckIn()
		t.plain()
	}
}

// dayWaits reports whether an emergency is open. Nothing of the day is asked beside it, until somebody has spoken with them.
func (t *turn) dayWaits() bool {
	if t.p.Emergency() == nil {
		return false
	}
	if s, ok := t.e.Body.(Said); ok && !t.desked && len(t.notes) == 0 { // what was to be asked back of it goes to people
		t.toDesk(redflag.ClassN, WhyMessage, s.Text)
	}
	t.p.Talk.Open = chart.NoField
	t.endCheckIn()
	t.reply(append(t.staysOut(), message.Say("now.still", t.numbers()...))...)
	t.plain()
	return true
}

// checkInOver reports whether the check-in's own time is over: the night has gone on,
// and nothing more is asked of it.
func (t *turn) checkInOver() bool {
	k := &t.p.Talk
	night, morning := t.p.Plan.Half(t.e.Wall)
	if k.CheckIn == EveningCheck || k.CheckIn == WeeklyCheck {
		return night != k.Night || morning
	}
	return night > k.Night+1
}

// openAgain asks the open question again, after something came between.
func (t *turn) openAgain() {
	k := &t.p.Talk
	if t.quiet() {
		return
	}
	if k.Ask == AskEdit {
		t.askEdit(k.EditOf, k.Edit, k.EditOn)
		return
	}
	f, night := k.Open, t.openOn(t.e.Wall)
	if e, _ := t.p.Course.Entry(night); f != chart.NoField && (k.CheckIn == NoCheckIn || e.V[f] != chart.Unknown) { // also what is asked anew
		t.askField(f, night)
		return
	}
	t.proceed()
}

// askField asks one question by itself, of a night.
func (t *turn) askField(f chart.Field, night civil.Date) {
	if (f == chart.SettingLeft || f == chart.SettingRight) && t.advised(night) && night == t.coming() {
		t.askStands(&t.p.Course.Advice)
		return
	}
	if t.dayWaits() {
		return
	}
	order := [...]CheckIn{MorningCheck, WeeklyCheck, EveningCheck}
	if _, morning := t.p.Plan.Half(t.e.Wall); !morning { // asked in the evening's words
		order[0], order[2] = order[2], order[0]
	}
	for _, s := range order {
		asks := s.asks()
		for i := range asks {
			if asks[i].field != f {
				continue
			}
			l := t.contextOf(MorningCheck, night)
			q := asks[i]
			q.late = false
			if t.p.Talk.CheckIn == NoCheckIn {
				t.p.Talk.Night = night
			}
			t.pose(&q, l)
			return
		}
	}
}

// plain takes the quick answers away where nothing is open.
func (t *turn) plain() {
	if t.answerAt != 0 && t.answer.Msg.Choices == nil {
		t.answer.Msg.Plain = true
	}
}

// lastNight is the night that answers of a morning are about.
func (t *turn) lastNight(w civil.Wall) civil.Date {
	night, morning := t.p.Plan.Half(w)
	if morning {
		return night
	}
	return night - 1
}
