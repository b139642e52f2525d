package flows_test

import (
	"slices"
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// quiet plays one obedient, quiet night: the evening by taps, the morning in
// one line.
func (k *walk) quiet(d civil.Date, line string) {
	k.t.Helper()
	k.to(d, 21, 30)
	k.evening()
	k.to(d+1, 7, 0)
	k.say(line)
}

// evening answers everything an evening asks, with nothing wrong, and does what
// is advised.
func (k *walk) evening() {
	k.t.Helper()
	for range 20 {
		i := slices.IndexFunc(k.buttons(), func(s string) bool {
			return s == "Setting "+itoa(int(k.p.Course.Left)) || strings.HasPrefix(s, "It stands at") ||
				s == "No problem tonight" || s == "Driving: did not nod off" || s == "Nose clear" ||
				s == "Pain 0" || s == "Sleepy 4" || s == "No pauses noticed" || s == "No morning headache"
		})
		if i < 0 {
			return
		}
		k.say(k.buttons()[i])
	}
	k.t.Fatalf("the evening does not end: %v", k.text)
}

const day = "all night, snore 6, no pain, bite guide used, bite ok"

func TestUsualEveningByTaps(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.hears("Evening check-in.", "Is anything wrong tonight?")
	if s := k.heard[0]; s.Lane != flows.LanePrompt || s.NotAfter != 180 || s.Key != "prompt" || s.Advice != 0 {
		t.Errorf("the prompt is %+v", s)
	}
	k.say("No problem tonight")
	k.hears("Saved: No problem tonight.", "did you nod off, or nearly, while driving?")
	k.say("Driving: did not nod off")
	k.hears("Tonight, Mon 2 Mar: setting 0, counted from fitting day.", "Change nothing. Wear it at 0.")
	k.hearsNot("mm", "%")
	if s := k.heard[0]; s.Lane != flows.LaneReply || s.Advice != 1 || s.Plan != 1 || len(k.heard) != 1 {
		t.Errorf("the advice is %+v", s)
	}
	k.say("It stands at 0")
	k.hears("Saved: it stands at 0.", "cards")
	k.is(mon2, chart.SettingLeft, chart.Num(0))
	k.is(mon2, chart.Driving, chart.Num(chart.DrivingNo))
	if _, ok := k.timers["commit"]; ok {
		t.Error("a reminder still waits")
	}
}

func TestUsualMorningByTaps(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.hears("Morning check-in.", "Did you wear it last night?")
	for _, x := range []struct{ say, next string }{
		{"Worn all night", "How loud was the snoring"}, {"Snoring 6", "worst pain"}, {"Pain 2", "Did the pain wake you?"}, {"Pain did not wake me", "Is the pain gone yet?"},
		{"Pain gone by morning", "bite guide"}, {"Bite guide used", "Do the back teeth touch"}, {"Bite: both sides", "That is all until 21:30."},
	} {
		k.say(x.say)
		k.hears("Saved: ", x.next)
	}
	for f, v := range map[chart.Field]int{chart.Worn: chart.WornAll, chart.Snoring: 6,
		chart.Reporter: chart.ReporterPartner, chart.Pain: 2, chart.Gone: chart.GoneMorning, chart.Guide: chart.Yes,
		chart.Bite: chart.BiteBoth} {
		k.is(mon2, f, chart.Num(v))
	}
	if len(k.timers) != 2 {
		t.Errorf("timers %v", k.timers)
	}
}

func TestUsualMorningInOneLine(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("7h, snore 3, sore 2 gone by 9, pain did not wake me, guide 5 min, bite ok")
	k.hears("Saved:", "Worn 7 h", "Snoring 3", "Pain 2", "Pain gone by morning", "Bite guide 5 min", "Bite: both sides",
		"That is all until 21:30.")
	k.is(mon2, chart.WornMinutes, chart.Num(420))
	k.is(mon2, chart.GuideMinutes, chart.Num(5))
	// a day that leaves something open is followed by just that question
	k.quiet(mon2+1, "pain 0, all night, bite ok, guide used")
	k.hears("How loud was the snoring")
	k.hearsNot("That is all")
}

// A step is told with what one step is and which way; staying is told without.
func TestAdviceForward(t *testing.T) {
	k := start(t, func(p *flows.Patient) { p.Appliance.Labels = []string{"A", "B", "C"} })
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.hears("Tonight, Thu 5 Mar: setting 1, counted from fitting day.", "one step forward. One step is: half turn. Do it before you put it in.",
		"Forward is: tool towards the nose.", "Your practice calls this: B.")
	k.hearsNot("mm from", "%")
	if b := k.buttons(); !slices.Equal(b, []string{"It stands at 1", "It is still at 0", "Something is wrong"}) {
		t.Errorf("buttons %v", b)
	}
	k.say("It is still at 0")
	k.hears("Saved: it stands at 0. That is fine for tonight.")
	if c := &k.p.Course; c.Left != 0 || c.Advice.To != 1 {
		t.Errorf("the setting moved to %d, advice %+v", c.Left, c.Advice)
	}
	k.say("today") // who asks hears how far that is, and not of which range
	k.hears("set it to 1 and wear it there.", "That is 0.25 mm from fitting day.")
	k.hearsNot("%")
	k.say("It stands at 1") // done after all
	if c := &k.p.Course; c.Left != 1 || c.High != 1 || c.Low != 1 {
		t.Errorf("the setting is %d", c.Left)
	}
}

// Nobody answers: the reminder hour commits a stay, the patient hears it once,
// and is left alone.
func TestUnansweredEveningMeansStay(t *testing.T) {
	k := start(t)
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 22, 44)
	if k.p.Course.Advice.Night == mon2+3 {
		t.Fatal("committed before the reminder hour")
	}
	k.to(mon2+3, 22, 45)
	k.hears("A short note for tonight.", "Change nothing. Wear it at 0.", "not answered")
	a := k.p.Course.Advice
	if a.Night != mon2+3 || a.Action != chart.Stay || !a.Fired.Has(11) {
		t.Errorf("advice %+v", a)
	}
	if s := k.heard[len(k.heard)-1]; s.Lane != flows.LaneReminder || s.NotAfter != 105 || s.Advice != a.Number {
		t.Errorf("reminder %+v", s)
	}
	k.say("No problem tonight") // too late to move tonight
	if b := k.p.Course.Advice; b != a {
		t.Errorf("a late answer made %+v of %+v", b, a)
	}
	k.say("It stands at 0")
	if got := k.to(mon2+4, 6, 59); len(got) != 0 {
		t.Errorf("more was sent: %v", got)
	}
}

func TestUndo(t *testing.T) {
	k := start(t)
	k.say("undo")
	k.hears("nothing to take back")
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("Worn all night")
	k.say("Snoring 6")
	k.notes = nil
	k.say("undo")
	k.hears("Taken back: snoring.", "How loud was the snoring")
	k.is(mon2, chart.Snoring, chart.Unknown)
	if len(k.notes) == 0 || k.notes[len(k.notes)-1].Source != chart.FromUndo {
		t.Errorf("diary rows %+v", k.notes)
	}
	k.say("undo") // one answer, not the whole day
	k.hears("nothing to take back", "How loud was the snoring")
	k.say("Snoring 5")
	k.is(mon2, chart.Snoring, chart.Num(5))
	k.say("my diary")
	k.say("undo") // of what was written last, nothing was stored
	k.hears("Nothing was saved of your last message", "snoring")
	k.is(mon2, chart.Snoring, chart.Num(5))
	k.say("undo")
	k.is(mon2, chart.Snoring, chart.Unknown)
}

// An undo after what changed nothing names the answer it would take back, and says what stands again.
func TestUndoNamesWhatItTakes(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("Worn all night")
	k.say("Pain 2")
	k.say("sorry, pain 4")
	k.is(mon2, chart.Pain, chart.Num(4))
	k.say("undo")
	k.hears("Taken back: pain.", "As it was before:")
	k.is(mon2, chart.Pain, chart.Num(2))
	k.say("setting 1")
	k.say("undo")
	k.hears("Taken back: setting.")
}

// After the advice an undo can only make it more cautious, and the patient hears
// the setting at once.
func TestUndoAfterTheAdvice(t *testing.T) {
	k := start(t)
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.hears("setting 1")
	k.say("pain 6")
	k.hears("tonight's setting has changed", "setting 0")
	a := k.p.Course.Advice
	if a.Action == chart.Forward || a.To != 0 || k.heard[len(k.heard)-1].Advice != a.Number {
		t.Errorf("advice %+v", a)
	}
	n := a.Number
	k.say("undo")
	k.is(mon2+2, chart.Pain, chart.Num(0))
	if a = k.p.Course.Advice; a.To != 0 || a.Action == chart.Forward || a.Number < n {
		t.Errorf("an undo made the advice more forward: %+v", a)
	}
}

func TestSomethingIsWrong(t *testing.T) {
	k := start(t)
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.hears("setting 1")
	k.say("Something is wrong")
	k.hears("setting 0", "What is wrong?", "call 112")
	if a := k.p.Course.Advice; a.Action == chart.Forward || a.To != 0 {
		t.Errorf("advice %+v", a)
	}
	k.staff = nil
	k.say("the lid hums a tune")
	k.hears("Nobody watches this chat", "call 112", "To be safe")
	k.say("None of these")
	k.hears("What does it stand at now?")
	if len(k.staff) != 0 {
		t.Log("staff heard at once")
	}
	if e := k.p.Escalations; len(e) == 0 || e[len(e)-1].Reason != "message" ||
		e[len(e)-1].Quote != "the lid hums a tune" {
		t.Errorf("escalations %+v", e)
	}
	k.say("It stands at 0")
	k.hears("Saved: it stands at 0.")
}

// "Something is wrong" and no word since reaches a person at the reminder hour.
func TestSomethingIsWrongWithoutAWord(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.say("A problem tonight")
	k.hears("What is wrong?")
	k.to(mon2, 22, 45)
	k.hears("Change nothing.")
	if e := k.p.Escalations; len(e) != 1 || e[0].Reason != "message" {
		t.Errorf("escalations %+v", e)
	}
}

func TestRecheckOfTheBite(t *testing.T) {
	k := start(t)
	k.quiet(mon2, "all night, snore 6, no pain, bite guide used")
	k.say("Bite: one side")
	k.hears("I will ask about the bite again in an hour.")
	k.to(mon2+1, 8, 1)
	k.hears("When did both sides touch again?")
	k.say("Bite back after 45 min")
	k.is(mon2, chart.BiteMinutes, chart.Num(45))
	k.to(mon2+1, 21, 30)
	k.hearsNot("back teeth")
	k.evening()

	k.to(mon2+2, 7, 0)
	k.say("all night, snore 6, no pain, bite guide used")
	k.say("Bite: one side")
	k.to(mon2+2, 8, 1)
	k.say("Bite not back")
	k.is(mon2+1, chart.BiteMinutes, chart.Num(61))
	k.hears("Saved: Bite not back after an hour.")
	k.to(mon2+2, 21, 30)
	k.hears("When did the back teeth touch on both sides again?")
	k.say("Bite not back")
	k.is(mon2+1, chart.BiteMinutes, chart.Num(chart.BiteNot))
}

func TestSkip(t *testing.T) {
	k := start(t)
	k.say("skip")
	k.hears("Nothing is open to skip.")
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("skip")
	k.is(mon2, chart.Worn, chart.Skipped)
	k.hears("Skipped: wear.", "How loud was the snoring")
	k.say("Skip: snoring")
	k.is(mon2, chart.Snoring, chart.Skipped)
	k.hears("worst pain")
}

func TestTwoSides(t *testing.T) {
	k := start(t, func(p *flows.Patient) { p.Appliance.TwoSided = true; p.Appliance.Offset = 1 })
	k.to(mon2, 21, 30)
	k.say("No problem tonight")
	k.say("Driving: did not nod off")
	k.hears("Left side 0, right side 1.")
	k.say("It stands at 0") // says both sides
	k.is(mon2, chart.SettingLeft, chart.Num(0))
	k.is(mon2, chart.SettingRight, chart.Num(1))
	k.say("left 0")
	k.to(mon2+1, 7, 0)
	k.say(day)
	k.to(mon2+1, 21, 30)
	k.say("No problem tonight")
	k.say("0") // a bare number says one side
	k.hears("the right side")
	k.say("1")
	k.is(mon2+1, chart.SettingRight, chart.Num(1))
	k.hears("Saved: it stands at 0.")
	k.to(mon2+2, 7, 0)
	k.say(day)
	k.to(mon2+2, 21, 30)
	k.say("No problem tonight")
	k.say("left 0 right 1")
	k.is(mon2+2, chart.SettingLeft, chart.Num(0))
	k.is(mon2+2, chart.SettingRight, chart.Num(1))
}
