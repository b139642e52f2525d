package flows

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// After an emergency of the patient's own the ordinary check-in is not sent: one message says that the practice knows
// and what to do if it is not over; the morning asks how they are; and so on until a person has taken it and noted
// what came of it.
func TestAfterAnEmergencyNothingOrdinaryIsAsked(t *testing.T) {
	l := active(t).say("my chest hurts", reading.Reading{Features: reading.FChest})
	esc := l.must("chest").N
	l.now = civil.Wall{Date: monday(), Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now})
	l.want(0, "emergency.evening").want(0, "advice.other").want(0, "advice.nodrive").wantNot(0, "prompt.evening").wantNot(0, "ask.wrong")
	if _, ok := l.timer("commit"); ok {
		t.Error("a reminder is ordered of a check-in that was not sent")
	}
	if a := l.p.Course.Advice; a.Action != chart.LeaveOut || a.Night != monday() {
		t.Errorf("the night has no advice: %+v", a)
	}
	l.now = civil.Wall{Date: monday() + 1, Clock: 7*60 + 30}
	l.on(Due{Name: "morning", Scheduled: l.now})
	l.want(0, "emergency.morning").wantNot(0, "prompt.morning").wantNot(0, "ask.worn")
	l.press("no").want(0, emergencyLine).want(0, "caution.chest")
	if x := l.must("chest"); x.AckBy != "" || x.Class != redflag.ClassE {
		t.Errorf("what is not over does not ring: %+v", x)
	}
	l.now = civil.Wall{Date: monday() + 1, Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now}).want(0, "emergency.evening")
	l.now = civil.Wall{Date: monday() + 2, Clock: 7*60 + 30}
	l.on(Due{Name: "morning", Scheduled: l.now}).want(0, "emergency.morning")
	l.press("yes").want(0, "emergency.over")
	l.order("sclin", Order{Op: OrderAck, Esc: esc})
	l.now = civil.Wall{Date: monday() + 2, Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now}).want(0, "emergency.evening") // taken, and nobody has said what came of it
	l.order("sclin", Order{Op: OrderNote, Esc: esc, Text: "seen at the hospital, home again"})
	l.now = civil.Wall{Date: monday() + 3, Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now}).want(0, "prompt.evening").wantNot(0, "emergency.evening")
}

// Whatever is typed on the evening of an emergency, the night's advice comes.
func TestTheNightAfterAnEmergencyIsTold(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: monday(), Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now})
	l.later(5).say("my chest hurts", reading.Reading{Features: reading.FChest})
	l.later(5).say("nothing wrong tonight", reading.Reading{Tokens: []reading.Token{{Field: chart.Wrong, Value: chart.Num(chart.No)}}}).want(0, "out.stays")
	l.now.Clock = 22*60 + 15
	l.on(Due{Name: "commit", Scheduled: l.now}).want(0, "advice.out").want(0, "out.stays")
}

// A child that swallowed a part is an emergency, and nothing of the patient's own evening changes.
func TestAChildsEmergencyIsNotThePatients(t *testing.T) {
	l := active(t).say("my son swallowed a screw", reading.Reading{Features: reading.FChild | reading.FSwallowed})
	l.want(0, emergencyLine).want(0, "caution.child.part")
	if l.must("child.part").Class != redflag.ClassE || len(l.p.Course.Flags) != 0 || l.p.Course.State != chart.Settling {
		t.Errorf("state %v, flags %v", l.p.Course.State, l.p.Course.Flags)
	}
	l.now = civil.Wall{Date: monday(), Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now}).want(0, "prompt.evening").wantNot(0, "emergency.evening")
}

// A cough without more is not yet an emergency: the number is given and it is asked; "yes, now" makes it one.
func TestALoneCoughIsAskedAbout(t *testing.T) {
	l := active(t).say("I have a cough", reading.Reading{Features: reading.FCough})
	l.want(0, "caution.cough").want(0, "now.ask").wantNot(0, emergencyLine)
	if l.must("cough").Class != redflag.ClassN || len(l.p.Course.Flags) != 0 {
		t.Fatalf("a cough holds something: %v", l.p.Course.Flags)
	}
	l.press("no").wantNot(0, emergencyLine)
	if l.open("choking") != nil {
		t.Error("it rings although it is not now")
	}
	l.say("cough", reading.Reading{Features: reading.FCough}).press("yes").want(0, emergencyLine).want(0, "caution.choking")
	if l.must("choking").Class != redflag.ClassE || l.p.Course.State != chart.Stopped {
		t.Errorf("state %v", l.p.Course.State)
	}
}

// What is told to be left out names what to do instead, and says that nobody should drive when sleepy: the plan's other
// therapy, or where it names none the practice's words for that.
func TestLeavingItOutIsNeverAllThatIsSaid(t *testing.T) {
	l := active(t).say("jaw locked", reading.Reading{Features: reading.FLocked})
	l.want(0, "caution.jaw.locked").want(0, "advice.other").want(0, "advice.nodrive")
	l.word(reading.WordNotNow)
	l.word(reading.WordToday).want(0, "tonight.out").want(0, "advice.other").want(0, "advice.nodrive")

	l = active(t)
	l.p.Plan.Fallback = ""
	l.say("jaw locked", reading.Reading{Features: reading.FLocked}).want(0, "advice.noother").wantNot(0, "advice.other")
	l = active(t)
	l.p.Plan.Fallback = ""
	l.pr.NoOther = "Sleep propped up."
	l.say("jaw locked", reading.Reading{Features: reading.FLocked}).want(0, "advice.noother.own")

	l = active(t).say("no screw in sight", reading.Reading{Features: reading.FMood}) // worn on
	l.wantNot(0, "advice.other").wantNot(0, "advice.nodrive")
}

// Two nights left out running go to the clinician, once, whatever had it left out.
func TestTwoNightsLeftOutGoToTheClinician(t *testing.T) {
	l := active(t).say("jaw locked", reading.Reading{Features: reading.FLocked})
	for d := range civil.Date(3) {
		l.now = civil.Wall{Date: monday() + d, Clock: 21 * 60}
		l.on(Due{Name: "evening", Scheduled: l.now})
		l.now = l.now.Add(RemindAfter)
		l.on(Due{Name: "commit", Scheduled: l.now})
		if x := l.open(WhyLeftOut); (x != nil) != (d > 0) || x != nil && (x.Class != redflag.ClassN || x.Times != 1) {
			t.Errorf("after %d nights: %+v", d+1, x)
		}
	}
}

// A morning's question that is not answered is a silence too: the check-ins wait, and
// somebody has to see that nothing comes.
func TestNobodySaysHowTheyAre(t *testing.T) {
	l := active(t).say("my chest hurts", reading.Reading{Features: reading.FChest})
	morning := func(day civil.Date) int16 {
		l.now = civil.Wall{Date: monday() + day, Clock: 7*60 + 30}
		l.on(Due{Name: "morning", Scheduled: l.now}).want(0, "emergency.morning")
		return l.p.Talk.Unheard
	}
	for day, want := range []int16{0, 1, 2, 3} {
		if got := morning(civil.Date(day) + 1); got != want {
			t.Errorf("morning %d: %d unheard", day, got)
		}
	}
	if l.press("yes"); l.p.Talk.Unheard != 0 || morning(5) != 0 {
		t.Errorf("answered, and %d unheard", l.p.Talk.Unheard)
	}
}
