package flows

import (
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// restore puts the practice into a new epoch and tells the patient.
func (l *life) restore() *life {
	l.t.Helper()
	l.pr.Epoch++
	return l.on(Restored{Epoch: l.pr.Epoch})
}

// release ends the freeze and tells the patient.
func (l *life) release() *life {
	l.t.Helper()
	l.pr.Released = l.pr.Epoch
	return l.on(Restored{Epoch: l.pr.Epoch})
}

// silent wants nothing said to the patient.
func (l *life) silent(when string) *life {
	l.t.Helper()
	if got := l.heard(0); len(got) > 0 {
		l.t.Errorf("%s the patient heard %v", when, got)
	}
	return l
}

// advisedTonight is a patient who has had an evening's advice.
func advisedTonight(t *testing.T) *life {
	l := active(t)
	l.now = civil.Wall{Date: monday(), Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now})
	l.say("fine", reading.Reading{Tokens: []reading.Token{{Field: chart.Wrong, Value: chart.Num(chart.No)}}})
	l.say("no", reading.Reading{Tokens: []reading.Token{{Field: chart.Driving, Value: chart.Num(chart.DrivingNo)}}})
	if l.p.Course.Advice.Action != chart.Stay || l.p.Course.Advice.Night != monday() {
		t.Fatalf("no advice to begin with: %+v", l.p.Course.Advice)
	}
	return l
}

func TestRestoreVoidsWhatWaits(t *testing.T) {
	l := advisedTonight(t).restore().silent("at the restore")
	if a := l.p.Course.Advice; a.Action != chart.NoAction || !l.p.Course.InDoubt || l.p.Talk.Open != chart.NoField {
		t.Errorf("advice %+v, in doubt %v, open %v", a, l.p.Course.InDoubt, l.p.Talk.Open)
	}
	for _, key := range []string{"advice", "prompt"} {
		if !slices.ContainsFunc(l.out, func(x Effect) bool { w, ok := x.(Withdraw); return ok && w.Key == key }) {
			t.Errorf("what waits under %q is not withdrawn", key)
		}
	}
	if f := l.p.Facts(&l.pr, &Event{}); !f.Restored {
		t.Error("the rules do not know")
	}
}

// Days pass before the owner looks: nothing is said and nothing advised, and
// the nights are ours, not the patient's silence.
func TestNothingIsSaidBeforeTheRelease(t *testing.T) {
	l := active(t).restore()
	advices := l.p.Course.Advices
	for d := range civil.Date(3) {
		for _, x := range []struct {
			name string
			at   civil.Clock
		}{{"morning", 450}, {"remind.morning", 540}, {"evening", 1260}, {"commit", 1335}} {
			l.now = civil.Wall{Date: monday() + 1 + d, Clock: x.at}
			l.on(Due{Name: x.name, Scheduled: l.now}).silent(x.name)
		}
		l.on(Gap{Minutes: 3000}).silent("after a gap")
	}
	e, _ := l.p.Course.Entry(monday() + 2)
	if l.p.Course.Advices != advices || e.Asked&oursEvening == 0 || e.Asked&askedEvening != 0 ||
		l.open(WhySilence) != nil {
		t.Errorf("%d advices, asked %b", l.p.Course.Advices-advices, e.Asked)
	}
	l.order("sclin", Order{Op: OrderVisit, To: 2, Has: true, Text: "checked"}).silent("after a visit")
	if l.p.Course.Left != 2 {
		t.Error("the visit was not taken")
	}
}

// Who writes in a freeze hears the fixed answer; what was said is kept.
func TestWhoWritesInAFreezeIsAnswered(t *testing.T) {
	answer := []string{"restore.wait", "restore.call", "restore.kept"}
	for name, say := range map[string]func(*life){
		"words":  func(l *life) { l.say("is it safe?", reading.Reading{Rest: true}) },
		"number": func(l *life) { l.say("3", reading.Reading{Bare: chart.Num(3)}) },
		"yes":    func(l *life) { l.word(reading.WordYes) },
		"today":  func(l *life) { l.word(reading.WordToday) },
		"data":   func(l *life) { l.word(reading.WordData) },
		"leave":  func(l *life) { l.word(reading.WordLeave) },
		"stop":   func(l *life) { l.word(reading.WordStop) },
		"stands": func(l *life) {
			l.say("It stands at 1", reading.Reading{Word: reading.WordStands,
				Tokens: []reading.Token{{Field: chart.SettingLeft, Value: chart.Num(1)}}})
		},
		"tap":   func(l *life) { l.press("yes") },
		"voice": func(l *life) { l.on(Other{Chat: l.p.Chat, Gen: l.p.Gen, Kind: "voice"}) },
	} {
		l := advisedTonight(t).restore()
		say(l)
		if got := l.heard(0); !slices.Equal(got, answer) {
			t.Errorf("%s: heard %v", name, got)
		}
		if k := l.p.Talk; k.Open != chart.NoField || k.Ask != NoAsk {
			t.Errorf("%s: a question stays open that nobody saw: %v %v", name, k.Open, k.Ask)
		}
		if name != "tap" && name != "voice" && name != "stands" && len(l.p.Escalations) == 0 {
			t.Errorf("%s: nobody will look at it", name)
		}
		if l.p.Epoch == l.pr.Epoch {
			t.Errorf("%s: the setting counts as confirmed before the release", name)
		}
	}
	l := active(t)
	l.now = civil.Wall{Date: monday() + 1, Clock: 8 * 60}
	l.restore().say("pain 3", reading.Reading{Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(3)}}})
	if e, _ := l.p.Course.Entry(monday()); !e.V[chart.Pain].Is(3) {
		t.Error("an answer was not kept")
	}
}

// A red flag waits for no owner: its caution and its card go out.
func TestAnEmergencyPassesTheFreeze(t *testing.T) {
	l := active(t).restore().say("I cannot breathe", reading.Reading{Features: reading.FBreath})
	l.want(0, "emergency.line").wantNot(0, "restore.wait").want(chatClin, "esc.head")
	l = active(t)
	l.now = civil.Wall{Date: monday() + 1, Clock: 8 * 60}
	l.restore().say("pain 9", reading.Reading{Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(9)}}})
	l.want(0, "restore.wait").want(0, "caution.pain.severe").want(chatClin, "esc.head")
}

// An escalation of the copy does not ring before the release, one that was
// raised since does, and so do new words of an old one.
func TestEscalationsOfACopyWait(t *testing.T) {
	old := active(t).say("piece came off", reading.Reading{Features: reading.FBroken})
	n := old.must("piece.broken").N
	ring := Due{Name: ringName(n)}
	l := *old
	l.later(60).restore().on(ring)
	if got := l.heard(chatClin); len(got) > 0 {
		t.Errorf("it rang: %v", got)
	}
	if at, ok := l.timer(ringName(n)); !ok || at.After == 0 {
		t.Error("it will never ring again")
	}
	l.release().on(ring).want(chatClin, "esc.again")

	l = *old
	l.later(60).restore().say("piece came off again", reading.Reading{Features: reading.FBroken}).want(chatClin,
		"esc.head")
	l.later(60).on(ring).want(chatClin, "esc.again")
}

// A doubt of the copy waits for the release as well, one of the freeze does not.
func TestADoubtOfACopyWaits(t *testing.T) {
	due := Due{Name: doubtName}
	l := active(t).say("my jaw stuck a bit?", unsure(reading.DangerJawLocked))
	if l.restore().later(doubtMinutes).on(due); l.open("jaw.locked") != nil {
		t.Errorf("it rang: %+v", l.p.Escalations)
	}
	if at, ok := l.timer(doubtName); !ok || at.After == 0 {
		t.Error("it will never ring")
	}
	if l.release().later(doubtMinutes).on(due); l.open("jaw.locked") == nil {
		t.Error("nobody hears of it after the release")
	}

	l = active(t).restore().say("my jaw stuck a bit?", unsure(reading.DangerJawLocked))
	if l.later(doubtMinutes).on(due); l.open("jaw.locked") == nil {
		t.Error("what is said in the freeze waits")
	}
}

func TestReleaseAsksForTheSettingFirst(t *testing.T) {
	l := advisedTonight(t).restore().release().want(0, "restore.lost").want(0, "ask.count")
	if l.p.Talk.Open != chart.SettingLeft {
		t.Fatalf("open is %v", l.p.Talk.Open)
	}
	// Until it is told, no number of the copy is named.
	l.word(reading.WordToday).want(0, "restore.night").wantNot(0, "tonight.wait")
	l.now = civil.Wall{Date: monday() + 1, Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now})
	l.later(75).on(Due{Name: "commit", Scheduled: l.now}).want(0, "restore.night").wantNot(0, "advice.set").wantNot(0,
		"advice.stay")
	if a := l.p.Course.Advice; a.Action != chart.Stay || a.Reason != pacing.ReasonRestored {
		t.Errorf("advice %+v", a)
	}
	l.later(5).say("0", reading.Reading{Tokens: []reading.Token{{Field: chart.SettingLeft, Value: chart.Num(0)}}})
	if l.p.Epoch != 1 || l.p.Course.InDoubt {
		t.Errorf("epoch %d, in doubt %v after the setting was named", l.p.Epoch, l.p.Course.InDoubt)
	}
	if f := l.p.Facts(&l.pr, &Event{}); f.Restored {
		t.Error("the rules still hold")
	}
	l.on(Restored{Epoch: 1}).silent("asked twice:")
}

func TestAVisitAfterTheReleaseNamesTheSetting(t *testing.T) {
	l := active(t).restore().release().order("sclin", Order{Op: OrderVisit, To: 0, Has: true, Text: "checked"})
	if l.p.Epoch != 1 || l.p.Course.InDoubt {
		t.Errorf("epoch %d, in doubt %v", l.p.Epoch, l.p.Course.InDoubt)
	}
}

// Facts of a patient: what holds, and why.
func TestFactsOfAPatient(t *testing.T) {
	p, pr := Patient{Epoch: 2}, practice.Practice{Epoch: 2, Released: 2}
	if f := p.Facts(&pr, &Event{}); f.Doubt || f.Restored || f.Held || f.Plan != &p.Plan {
		t.Errorf("%+v", f)
	}
	if f := p.Facts(&pr, &Event{Doubt: true}); !f.Doubt {
		t.Error("the clock")
	}
	pr.Rival, pr.Epoch, pr.Held = true, 3, true
	if f := p.Facts(&pr, &Event{}); !f.Doubt || !f.Restored || !f.Held {
		t.Errorf("%+v", f)
	}
}
