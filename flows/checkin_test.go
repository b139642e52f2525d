package flows_test

import (
	"slices"
	"strings"
	"testing"

	"duskdawn/flows"
)

// quiet plays one obedient, quiet night: the evening by taps, the morning in
// one line.
func (k *walk) quiet(d flows.Date, line string) {
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
			return s == "Setting "+itoa(int(k.p.Course.Left)) || strings.HasPrefix(s, "It stands at") || s == "No problem tonight" || s == "Driving: did not nod off" || s == "Nose clear" ||
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
	k.hears("Tonight, Mon 2 Mar: setting 0, counted from fitting day.", "Change nothing. Wear it at 0.", "50 % of your range, counted from your usual bite")
	if s := k.heard[0]; s.Lane != flows.LaneReply || s.Advice != 1 || s.Plan != 1 || len(k.heard) != 1 {
		t.Errorf("the advice is %+v", s)
	}
	k.say("It stands at 0")
	k.hears("Saved: it stands at 0.", "cards")
	k.is(mon2, flows.SettingLeft, flows.Num(0))
	k.is(mon2, flows.Driving, flows.Num(flows.DrivingNo))
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
		{"Worn all night", "How loud was the snoring"}, {"Snoring 6", "worst pain"}, {"Pain 2", "Is the pain gone yet?"},
		{"Pain gone by morning", "bite guide"}, {"Bite guide used", "Do the back teeth touch"}, {"Bite: both sides", "That is all until 21:30."},
	} {
		k.say(x.say)
		k.hears("Saved: ", x.next)
	}
	for f, v := range map[flows.Field]int{flows.Worn: flows.WornAll, flows.Snoring: 6, flows.Reporter: flows.ReporterPartner, flows.Pain: 2, flows.Gone: flows.GoneMorning, flows.Guide: flows.Yes, flows.Bite: flows.BiteBoth} {
		k.is(mon2, f, flows.Num(v))
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
	k.say("7h, snore 3, sore 2 gone by 9, guide 5 min, bite ok")
	k.hears("Saved:", "Worn 7 h", "Snoring 3", "Pain 2", "Pain gone by morning", "Bite guide 5 min", "Bite: both sides", "That is all until 21:30.")
	k.is(mon2, flows.WornMinutes, flows.Num(420))
	k.is(mon2, flows.GuideMinutes, flows.Num(5))
	// a day that leaves something open is followed by just that question
	k.quiet(mon2+1, "pain 0, all night, bite ok, guide used")
	k.hears("How loud was the snoring")
	k.hearsNot("That is all")
}

// A step is told with what one step is and which way; staying is told without.
func TestAdviceForward(t *testing.T) {
	k := start(t, func(p *flows.Patient) { p.Appliance.Labels = []string{"A", "B", "C"} })
	for d := range flows.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.hears("Tonight, Thu 5 Mar: setting 1, counted from fitting day.", "one step forward. One step is: half turn.", "Forward is: tool towards the nose.",
		"That is 0.25 mm from fitting day, at 53.1 % of your range", "Your practice calls this: B.")
	if b := k.buttons(); !slices.Equal(b, []string{"It stands at 1", "It is still at 0", "Something is wrong"}) {
		t.Errorf("buttons %v", b)
	}
	k.say("It is still at 0")
	k.hears("Saved: it stands at 0. That is fine for tonight.")
	if c := &k.p.Course; c.Left != 0 || c.Advice.To != 1 {
		t.Errorf("the setting moved to %d, advice %+v", c.Left, c.Advice)
	}
	k.say("It stands at 1") // done after all
	if c := &k.p.Course; c.Left != 1 || c.High != 1 || c.Low != 1 {
		t.Errorf("the setting is %d", c.Left)
	}
}

// Nobody answers: the reminder hour commits a stay, the patient hears it once,
// and is left alone.
func TestUnansweredEveningMeansStay(t *testing.T) {
	k := start(t)
	for d := range flows.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 22, 44)
	if k.p.Course.Advice.Night == mon2+3 {
		t.Fatal("committed before the reminder hour")
	}
	k.to(mon2+3, 22, 45)
	k.hears("A short note for tonight.", "Change nothing. Wear it at 0.", "not answered")
	a := k.p.Course.Advice
	if a.Night != mon2+3 || a.Action != flows.Stay || !a.Fired.Has(11) {
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

func TestLateAndDoublePresses(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("Worn all night")
	k.hears("snoring")
	k.say("Worn all night") // double press: its own field, not the next question
	k.hears("Saved: Worn all night.", "How loud was the snoring")
	k.is(mon2, flows.Snoring, flows.Unknown)
	k.say("Pain 2") // a later question's button
	k.is(mon2, flows.Pain, flows.Num(2))
	k.is(mon2, flows.Snoring, flows.Unknown)
	k.hears("How loud was the snoring")
	k.say("Pain 3") // a correction
	k.is(mon2, flows.Pain, flows.Num(3))
	k.to(mon2+1, 21, 30)
	k.say("Snoring 5") // the morning's button in the evening
	k.is(mon2, flows.Snoring, flows.Num(5))
	k.is(mon2+1, flows.Snoring, flows.Unknown)
	k.say("Skip: pain") // a late skip takes nothing away
	k.hears("Your earlier answer stays.")
	k.is(mon2, flows.Pain, flows.Num(3))
}

func TestBareNumbers(t *testing.T) {
	at := func(k *walk) *walk {
		k.to(mon2, 21, 30)
		k.evening()
		k.to(mon2+1, 7, 0)
		k.say("Worn all night")
		return k
	}
	t.Run("long enough after the question", func(t *testing.T) {
		k := at(start(t))
		k.sec += 2
		k.saidAt("6")
		k.is(mon2, flows.Snoring, flows.Num(6))
	})
	t.Run("too soon", func(t *testing.T) {
		k := at(start(t))
		k.sec++
		k.saidAt("6")
		k.is(mon2, flows.Snoring, flows.Unknown)
		k.hears("You sent 6. Which question is it for?")
		if b := k.buttons(); !slices.Contains(b, "Snoring 6") || !slices.Contains(b, "Pain 6") || !slices.Contains(b, "Setting 6") {
			t.Errorf("buttons %v", b)
		}
		k.say("6") // still not named
		k.is(mon2, flows.Snoring, flows.Unknown)
		k.say("Pain 6")
		k.is(mon2, flows.Pain, flows.Num(6))
		k.say("6")
		k.is(mon2, flows.Snoring, flows.Num(6))
	})
	t.Run("a reply to the open question, at once", func(t *testing.T) {
		k := at(start(t))
		k.saidAt("6", func(s *flows.Said) { s.ReplyTo = k.msg - 1 })
		k.is(mon2, flows.Snoring, flows.Num(6))
	})
	t.Run("a reply to an older message", func(t *testing.T) {
		k := at(start(t))
		k.say("6", func(s *flows.Said) { s.ReplyTo = k.msg - 3 })
		k.is(mon2, flows.Snoring, flows.Unknown)
		k.hears("You sent 6.")
	})
	t.Run("off the scale", func(t *testing.T) {
		k := at(start(t))
		k.say("11")
		k.is(mon2, flows.Snoring, flows.Unknown)
		k.hears("off the scale", "0, none, to 10", "How loud was the snoring")
	})
	t.Run("no question open", func(t *testing.T) {
		k := start(t)
		k.say("3")
		k.hears("You sent 3. Which question is it for?")
	})
	t.Run("the question takes no number", func(t *testing.T) {
		k := start(t)
		k.to(mon2, 21, 30)
		k.say("3")
		k.hears("not sure what that answers", "Is anything wrong tonight?")
	})
	t.Run("hours and minutes", func(t *testing.T) {
		k := start(t)
		k.to(mon2, 21, 30)
		k.evening()
		k.to(mon2+1, 7, 0)
		k.say("Worn part of the night")
		k.hears("How long did you wear it?")
		k.say("3")
		k.is(mon2, flows.WornMinutes, flows.Num(180))
		k.hears("Why was it out?")
	})
	t.Run("a setting below zero", func(t *testing.T) {
		k := start(t)
		k.to(mon2, 21, 30)
		k.say("No problem tonight")
		k.say("Driving: did not nod off")
		k.say("-1")
		k.hears("You said -1", "look again")
		k.is(mon2, flows.SettingLeft, flows.Num(-1))
		k.say("0")
		k.hears("Saved: it stands at 0.")
		if k.p.Course.InDoubt || k.p.Course.Left != 0 {
			t.Errorf("%+v", k.p.Course)
		}
	})
}

// A number that cannot be one answer is asked again, the scale is named and
// nothing is kept.
func TestDoubts(t *testing.T) {
	for _, x := range []struct{ say, hear string }{
		{"pain 3-4", "more than one number"}, {"pain 3,5", "whole numbers"}, {"pain 11", "off the scale"}, {"pain 10/10", "no slash"},
		{"pain 1e3", "can not read that number"}, {"pain 3 pain 5", "two answers"},
	} {
		k := start(t)
		k.to(mon2, 21, 30)
		k.evening()
		k.to(mon2+1, 7, 0)
		k.say(x.say)
		k.hears(x.hear, "0, none, to 10", "worst pain")
		k.is(mon2, flows.Pain, flows.Unknown)
	}
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("pain 3 to 4, snore 2") // what can be read is kept
	k.is(mon2, flows.Snoring, flows.Num(2))
	k.is(mon2, flows.Pain, flows.Unknown)
}

// A reply after midnight belongs to the same night.
func TestMidnight(t *testing.T) {
	k := start(t)
	k.quiet(mon2, day)
	k.to(mon2+1, 21, 30)
	k.to(mon2+2, 0, 30)
	k.say("No problem tonight")
	k.is(mon2+1, flows.Wrong, flows.Num(flows.No))
	k.say("It stands at 0")
	k.is(mon2+1, flows.SettingLeft, flows.Num(0))
	k.say("Snoring 4") // corrects last night, for this one is still ahead
	k.is(mon2, flows.Snoring, flows.Num(4))
	k.hears("Saved: snoring 4.")
	k.to(mon2+2, 5, 0) // early riser
	k.say("snore 7, pain 1")
	k.is(mon2+1, flows.Snoring, flows.Num(7))
	k.to(mon2+2, 7, 0)
	k.hears("Did you wear it last night?")
	k.to(mon2+2, 12, 30) // after the boundary the morning can still be answered
	k.say("Worn all night")
	k.is(mon2+1, flows.Worn, flows.Num(flows.WornAll))
}

func TestDatedAnswers(t *testing.T) {
	k := start(t)
	for d := range flows.Date(10) {
		k.quiet(mon2+d, day)
	}
	k.say("mon snore 3") // Thursday 12 March in the morning
	k.is(mon2+7, flows.Snoring, flows.Num(3))
	k.hears("Saved for Mon 9 Mar:", "Snoring 3")
	k.say("2 Mar pain 1")
	k.hears("too long ago")
	k.is(mon2, flows.Pain, flows.Num(0))
	k.say("pain 1 on 2026-04-01")
	k.hears("has not come yet")
	k.say("yesterday pain 1")
	k.is(mon2+9, flows.Pain, flows.Num(1))
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
	k.is(mon2, flows.Snoring, flows.Unknown)
	if len(k.notes) == 0 || k.notes[len(k.notes)-1].Source != flows.FromUndo {
		t.Errorf("diary rows %+v", k.notes)
	}
	k.say("undo") // one answer, not the whole day
	k.hears("nothing to take back", "How loud was the snoring")
	k.say("Snoring 5")
	k.is(mon2, flows.Snoring, flows.Num(5))
}

// After the advice an undo can only make it more cautious, and the patient hears
// the setting at once.
func TestUndoAfterTheAdvice(t *testing.T) {
	k := start(t)
	for d := range flows.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.hears("setting 1")
	k.say("pain 6")
	k.hears("tonight's setting has changed", "setting 0")
	a := k.p.Course.Advice
	if a.Action == flows.Forward || a.To != 0 || k.heard[len(k.heard)-1].Advice != a.Number {
		t.Errorf("advice %+v", a)
	}
	n := a.Number
	k.say("undo")
	k.is(mon2+2, flows.Pain, flows.Num(0))
	if a = k.p.Course.Advice; a.To != 0 || a.Action == flows.Forward || a.Number < n {
		t.Errorf("an undo made the advice more forward: %+v", a)
	}
}

func TestSomethingIsWrong(t *testing.T) {
	k := start(t)
	for d := range flows.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.hears("setting 1")
	k.say("Something is wrong")
	k.hears("setting 0", "What is wrong?", "call 112")
	if a := k.p.Course.Advice; a.Action == flows.Forward || a.To != 0 {
		t.Errorf("advice %+v", a)
	}
	k.staff = nil
	k.say("it just feels odd today")
	k.hears("Nobody watches this chat", "What does it stand at now?")
	if len(k.staff) != 0 {
		t.Log("staff heard at once")
	}
	if e := k.p.Escalations; len(e) == 0 || e[len(e)-1].Reason != "message" || e[len(e)-1].Quote != "it just feels odd today" {
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
	k.is(mon2, flows.BiteMinutes, flows.Num(45))
	k.to(mon2+1, 21, 30)
	k.hearsNot("back teeth")
	k.evening()

	k.to(mon2+2, 7, 0)
	k.say("all night, snore 6, no pain, bite guide used")
	k.say("Bite: one side")
	k.to(mon2+2, 8, 1)
	k.say("Bite not back")
	k.is(mon2+1, flows.BiteMinutes, flows.Num(61))
	k.hears("Saved: Bite not back after an hour.")
	k.to(mon2+2, 21, 30)
	k.hears("When did the back teeth touch on both sides again?")
	k.say("Bite not back")
	k.is(mon2+1, flows.BiteMinutes, flows.Num(flows.BiteNot))
}

func TestSkip(t *testing.T) {
	k := start(t)
	k.say("skip")
	k.hears("Nothing is open to skip.")
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("skip")
	k.is(mon2, flows.Worn, flows.Skipped)
	k.hears("Skipped: wear.", "How loud was the snoring")
	k.say("Skip: snoring")
	k.is(mon2, flows.Snoring, flows.Skipped)
	k.hears("worst pain")
}

// Silence: a shorter form, a person after three nights, one prompt a day.
func TestSilence(t *testing.T) {
	k := start(t)
	k.quiet(mon2, day)
	d := mon2 + 1
	for range 3 {
		k.to(d, 21, 30)
		d++
		k.to(d, 12, 0)
	}
	if len(k.p.Escalations) != 0 && slices.ContainsFunc(k.p.Escalations, func(e flows.Escalation) bool { return e.Reason == "silence" }) {
		t.Error("too early")
	}
	k.to(d, 21, 30)
	if !slices.ContainsFunc(k.p.Escalations, func(e flows.Escalation) bool { return e.Reason == "silence" }) {
		t.Errorf("nobody was told: %+v", k.p.Escalations)
	}
	if len(k.heard) == 0 || k.heard[len(k.heard)-1].Advice == 0 {
		t.Errorf("the one prompt of the day names no setting: %v", k.text)
	}
	if got := k.to(d+1, 20, 0); len(got) != 0 {
		t.Errorf("more than one prompt a day: %v", got)
	}
	k.say("sorry, pain 0")
	if k.p.Talk.Silent != 0 {
		t.Error("still silent")
	}
}

// What comes too late is not sent, is recorded as ours, and still gives the
// night its advice.
func TestTooLate(t *testing.T) {
	k := start(t)
	k.now = flows.Wall{Date: mon2 + 1, Clock: clock(1, 0)}
	k.heard = nil
	k.event(flows.Due{Name: "evening", Scheduled: flows.Wall{Date: mon2, Clock: clock(21, 30)}, Late: 210})
	if len(k.heard) != 0 {
		t.Errorf("sent %v", k.text)
	}
	if e := k.night(mon2); e.Asked&15 != 4 || e.Action == flows.NoAction || k.p.Course.Advice.Night != mon2 {
		t.Errorf("entry %+v", e)
	}
	k.now = flows.Wall{Date: mon2 + 1, Clock: clock(13, 30)}
	k.event(flows.Due{Name: "morning", Scheduled: flows.Wall{Date: mon2 + 1, Clock: clock(7, 0)}, Late: 390})
	if len(k.heard) != 0 || k.night(mon2).Asked&15 != 12 {
		t.Errorf("sent %v, asked %d", k.text, k.night(mon2).Asked)
	}
	k.to(mon2+1, 21, 30)
	if k.p.Talk.Silent != 0 {
		t.Error("ours was counted as the patient's silence")
	}
}

// A prompt goes out once a night, whatever becomes of its timer.
func TestOnePromptANight(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.heard = nil
	k.event(flows.Due{Name: "evening", Scheduled: flows.Wall{Date: mon2, Clock: clock(21, 30)}})
	if len(k.heard) != 0 {
		t.Errorf("twice: %v", k.text)
	}
	k.to(mon2+1, 7, 0)
	k.heard = nil
	k.event(flows.Due{Name: "morning", Scheduled: flows.Wall{Date: mon2 + 1, Clock: clock(7, 0)}})
	if len(k.heard) != 0 {
		t.Errorf("twice: %v", k.text)
	}
}

func TestShortForm(t *testing.T) {
	k := start(t)
	d := mon2
	for range 15 {
		k.to(d, 21, 30)
		k.evening()
		d++
		k.to(d, 7, 0)
		k.say(day)
	}
	k.to(d, 21, 30)
	k.evening()
	k.to(d+1, 7, 0)
	k.say("Worn all night")
	k.say("Snoring 5")
	if b := k.buttons(); b[0] != "Pain 0, Bite guide used, Bite: both sides" {
		t.Fatalf("buttons %v", b)
	}
	k.say(k.buttons()[0])
	k.hears("That is all until")
	for f, v := range map[flows.Field]int{flows.Worn: flows.WornAll, flows.Snoring: 5, flows.Pain: 0, flows.Guide: flows.Yes, flows.Bite: flows.BiteBoth} {
		k.is(d, f, flows.Num(v))
	}
}

func TestWeekly(t *testing.T) {
	k := start(t)
	d := mon2
	for range 7 {
		k.quiet(d, day)
		d++
	}
	k.to(d, 21, 30)
	k.say("No problem tonight")
	k.hears("read the setting off the appliance")
	k.say("Setting " + itoa(int(k.p.Course.Left)))
	for k.p.Talk.Script == flows.EveningCheck {
		k.say(k.buttons()[0])
	}
	k.hears("Once a week", "How sleepy were you by day")
	k.say("Sleepy 4")
	k.say("No pauses noticed")
	k.say("No morning headache")
	k.hears("did you nod off, or nearly, while driving?")
	k.say("Did not drive")
	k.hears("the questions of the week")
	k.is(d, flows.Sleepiness, flows.Num(4))
	k.is(d, flows.Driving, flows.Num(flows.DrivingNoDrive))
	k.to(d+1, 7, 0)
	k.say(day)
	k.to(d+1, 21, 30)
	k.say("No problem tonight")
	k.hearsNot("read the setting")
}

func itoa(n int) string { return string(rune('0' + n)) }

// From holding on the check-ins come once a week; every night still has its advice.
func TestHoldingIsAskedWeekly(t *testing.T) {
	k := start(t)
	k.p.Course.State = flows.Holding
	asked, d := 0, mon2
	for range 21 {
		k.to(d, 21, 30)
		if len(k.heard) > 0 {
			asked++
			k.evening()
		}
		if k.to(d, 23, 59); k.p.Course.Advice.Night != d || k.p.Course.Advice.Action != flows.Stay {
			t.Fatalf("%s: advice %+v", d, k.p.Course.Advice)
		}
		d++
		k.to(d, 7, 0)
		if len(k.heard) > 0 {
			k.say(day)
		}
	}
	if asked != 3 {
		t.Errorf("asked on %d evenings of 21", asked)
	}
}

func TestTwoSides(t *testing.T) {
	k := start(t, func(p *flows.Patient) { p.Appliance.TwoSided = true; p.Appliance.Offset = 1 })
	k.to(mon2, 21, 30)
	k.say("No problem tonight")
	k.say("Driving: did not nod off")
	k.hears("Left side 0, right side 1.")
	k.say("It stands at 0") // says both sides
	k.is(mon2, flows.SettingLeft, flows.Num(0))
	k.is(mon2, flows.SettingRight, flows.Num(1))
	k.say("left 0")
	k.to(mon2+1, 7, 0)
	k.say(day)
	k.to(mon2+1, 21, 30)
	k.say("No problem tonight")
	k.say("0") // a bare number says one side
	k.hears("the right side")
	k.say("1")
	k.is(mon2+1, flows.SettingRight, flows.Num(1))
	k.hears("Saved: it stands at 0.")
	k.to(mon2+2, 7, 0)
	k.say(day)
	k.to(mon2+2, 21, 30)
	k.say("No problem tonight")
	k.say("left 0 right 1")
	k.is(mon2+2, flows.SettingLeft, flows.Num(0))
	k.is(mon2+2, flows.SettingRight, flows.Num(1))
}

func TestEditedMessages(t *testing.T) {
	k := start(t)
	k.quiet(mon2, day)
	edit := func(s *flows.Said) { s.Edited = true }
	k.say("pain 3", edit)
	k.hears("You changed a message", "Pain 3")
	k.is(mon2, flows.Pain, flows.Num(0))
	k.say("no")
	k.is(mon2, flows.Pain, flows.Num(0))
	k.say("pain 3", edit)
	k.say("yes")
	k.is(mon2, flows.Pain, flows.Num(3))
	k.say("pain 3", edit)
	k.hears("changes no answer")
	k.say("pain 1 snore 2", edit)
	k.hears("new message")
	k.is(mon2, flows.Pain, flows.Num(3))
}

// Words that are no answer go to people, and the open question is asked again.
func TestOtherWords(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.say("my cat sleeps on my head")
	k.hears("passed", "Is anything wrong tonight?")
	k.say("pain 2 and the cat again")
	k.is(mon2-1, flows.Pain, flows.Unknown) // there was no night before
	k.say("help")
	k.hears("Is anything wrong tonight?")
}

// A red flag is heard first, whatever question is open; the answers in the same
// text are kept.
func TestRedFlagFirst(t *testing.T) {
	k := start(t)
	k.quiet(mon2, "all night, snore 6, bite guide used, bite ok")
	k.say("pain 2, my tooth is loose")
	if len(k.p.Course.Flags) == 0 {
		t.Fatalf("no flag: %v", k.text)
	}
	k.is(mon2, flows.Pain, flows.Num(2))
	k = start(t)
	k.to(mon2, 21, 30)
	k.say("my tongue is swollen and I cannot breathe")
	k.hears("112")
	k.hearsNot("Is anything wrong tonight?")
}
