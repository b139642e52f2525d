package flows_test

import (
	"slices"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// A bare yes or no is taken where the open question is one of yes and no, or
// has a plain meaning for it; else the question is asked again.
func TestYesAndNo(t *testing.T) {
	for _, x := range []struct {
		before, say string
		field       chart.Field
		want        chart.Answer
	}{
		{"", "no", chart.Worn, chart.Num(chart.WornNo)},
		{"", "yes", chart.Worn, chart.Unknown}, // all of it?
		{"all night", "yes", chart.Snoring, chart.Unknown},
		{"all night", "none", chart.Snoring, chart.Num(0)},
		{"all night, snore 3", "nothing", chart.Pain, chart.Num(0)},
		{"all night, snore 3, pain 4", "no", chart.Woken, chart.Num(chart.No)},
		{"all night, snore 3, pain 1, pain did not wake me", "yes", chart.Gone, chart.Num(chart.GoneMorning)},
		{"all night, snore 3, pain 0", "yes", chart.Guide, chart.Num(chart.Yes)},
		{"all night, snore 3, pain 0, bite guide used", "yes", chart.Bite, chart.Num(chart.BiteBoth)},
		{"all night, snore 3, pain 0, bite guide used", "no", chart.Bite, chart.Unknown}, // how, then?
	} {
		t.Run(x.before+" "+x.say, func(t *testing.T) {
			k := start(t)
			k.to(mon2, 21, 30)
			k.evening()
			k.to(mon2+1, 7, 0)
			if x.before != "" {
				k.say(x.before)
			}
			k.say(x.say)
			k.is(mon2, x.field, x.want)
			if x.want == chart.Unknown {
				k.hears("not sure what that answers")
			}
		})
	}
	k := start(t)
	k.to(mon2, 21, 30)
	k.say("no")
	k.is(mon2, chart.Wrong, chart.Num(chart.No))
	k.say("yes") // the worse of what it may mean
	k.is(mon2, chart.Driving, chart.Num(chart.DrivingYes))
	if len(k.p.Course.Flags) != 1 {
		t.Errorf("flags %+v", k.p.Course.Flags)
	}
}

// A bare no is of what was asked last: an evening's question, not whether something of the day before is still so.
func TestANoIsOfTheLastQuestion(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 12, 0)
	k.say("my gums are bleeding a little")
	if k.p.Talk.Ask != flows.AskNow {
		t.Fatalf("asked %v", k.p.Talk.Ask)
	}
	k.to(mon2+1, 21, 30)
	k.say("no, nothing") // the evening begins with the pain
	k.is(mon2, chart.Pain, chart.Num(0))
}

// "It stands", without a number, is the advised setting; "it is still" the last.
func TestStandsWithoutANumber(t *testing.T) {
	word := func(w reading.Word) func(*flows.Said) {
		return func(s *flows.Said) { s.Reading = reading.Reading{Word: w} }
	}
	k := start(t)
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.say("it is still", word(reading.WordStill))
	k.is(mon2+3, chart.SettingLeft, chart.Num(0))
	k.say("it stands", word(reading.WordStands))
	k.is(mon2+3, chart.SettingLeft, chart.Num(1))
}

// "Yes" is the one setting that is offered; of two it is neither.
func TestYesToASetting(t *testing.T) {
	k := start(t)
	k.quiet(mon2, day)
	k.to(mon2+1, 21, 30)
	k.say("No problem tonight")
	k.say("yes")
	k.is(mon2+1, chart.SettingLeft, chart.Num(0))

	k = start(t)
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.say("yes")
	k.hears("I am not sure what that answers")
	k.is(mon2+3, chart.SettingLeft, chart.Unknown)
}

// "The same" is no answer until a tap has said yes to it, and of a setting never one.
func TestTheSame(t *testing.T) {
	k := start(t)
	k.quiet(mon2, day)
	k.to(mon2+1, 21, 30)
	k.say("same as yesterday") // whether anything is wrong is never copied
	k.hears("I have no answer of the night before")
	k.say("No problem tonight")
	k.say("the same")
	k.hears("I have no answer of the night before")
	k.say("It stands at 0")
	k.to(mon2+2, 7, 30)
	k.say("same as yesterday")
	k.is(mon2+1, chart.Worn, chart.Unknown)
	k.say("no")
	k.is(mon2+1, chart.Worn, chart.Unknown)
	k.say("same as yesterday")
	k.say("yes")
	k.is(mon2+1, chart.Worn, chart.Num(chart.WornAll))
}

// Further than advised confirms nothing, and is to be set back: never praised.
func TestFurtherThanAdvised(t *testing.T) {
	k := start(t)
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	k.hears("setting 1")
	k.say("setting 4")
	k.hears("You said 4", "look again")
	k.say("setting 4")
	k.hears("too far for tonight", "Please set it to 1.")
	if c := &k.p.Course; c.Left != 0 || c.High != 4 || !c.InDoubt || c.Advice.To != 1 {
		t.Errorf("left %d, up to %d, in doubt %v, advice %+v", c.Left, c.High, c.InDoubt, c.Advice)
	}
	k.say("setting 1")
	k.hears("Saved: it stands at 1. Sleep well.")
}

// A message of ours that expired unsent is not the patient's silence.
func TestMissedPromptIsOurs(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.event(flows.Missed{Key: "prompt"})
	if a := k.night(mon2).Asked; a != 1|4 {
		t.Errorf("asked %b", a)
	}
	k.to(mon2, 23, 0)
	k.say("It stands at 0")
	k.to(mon2+1, 7, 0)
	k.event(flows.Missed{Key: "prompt"})
	if a := k.night(mon2).Asked; a != 1|2|4|8|uint16(chart.UnderUnheard) {
		t.Errorf("asked %b", a)
	}
	k.event(flows.Missed{Key: "esc.1"})
}

func TestNobodyHeardLastNight(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("all night")
	k.say("Nobody could hear") // that night; not for good
	k.is(mon2, chart.Reporter, chart.Num(chart.ReporterNobody))
	k.is(mon2, chart.Snoring, chart.Skipped)
	k.hears("worst pain")
	k.say("undo")
	k.is(mon2, chart.Snoring, chart.Unknown)
	k.to(mon2+1, 21, 30)
	k.evening()
	k.to(mon2+2, 7, 0)
	k.say("all night")
	k.hears("How loud was the snoring")
}

// A count that the patient has lost is in doubt from that moment, and asked for
// at once; nothing goes forward until it is known.
func TestALostCountIsAskedFor(t *testing.T) {
	for _, words := range []string{"I lost count", "perdí la cuenta"} {
		k := start(t)
		k.to(mon2, 21, 30)
		k.evening()
		k.to(mon2+1, 15, 0)
		k.say(words)
		if !k.p.Course.InDoubt {
			t.Errorf("%q: the count is taken as known", words)
		}
		k.say("It is at 0")
		if k.p.Course.InDoubt {
			t.Errorf("%q: the count said is not taken", words)
		}
	}
}

// "Ignore that" after a red flag takes back nothing, least of all another answer.
func TestIgnoreThatTakesNothingBack(t *testing.T) {
	k := start(t)
	k.to(mon2+1, 7, 0)
	k.say("all night, snore 7")
	k.say("my jaw is locked")
	flags := len(k.p.Course.Flags)
	k.say("ignore that")
	k.is(mon2, chart.Snoring, chart.Num(7))
	if len(k.p.Course.Flags) != flags || flags == 0 {
		t.Errorf("%d flags, then %d", flags, len(k.p.Course.Flags))
	}
}

// A pause beside a flag that has it left out says so again.
func TestAPauseRepeatsLeaveItOut(t *testing.T) {
	k := start(t)
	k.to(mon2+1, 7, 0)
	k.say("my jaw is locked")
	k.say("pause")
	k.hears("Leave it out")
}

// The reporter is asked once where the plan does not name one.
func TestReporterIsAskedOnce(t *testing.T) {
	k := start(t, func(p *flows.Patient) { p.Baseline.Reporter = chart.Unknown })
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("all night")
	k.hears("Who can hear you snore?")
	k.say("Heard by my partner")
	k.say("Snoring 4")
	k.is(mon2, chart.Reporter, chart.Num(chart.ReporterPartner))
	k.say("pain 0, bite guide used, bite ok")
	k.to(mon2+1, 21, 30)
	k.evening()
	k.to(mon2+2, 7, 0)
	k.say("all night")
	k.hearsNot("Who can hear you snore?")
	k.say("Snoring 5")
	k.is(mon2+1, chart.Reporter, chart.Num(chart.ReporterPartner))
}

// The lip-seal part stays off where the nose is blocked.
func TestBlockedNose(t *testing.T) {
	k := start(t, func(p *flows.Patient) { p.Appliance.LipSeal = true })
	k.to(mon2, 21, 30)
	k.say("No problem tonight")
	k.hears("through your nose")
	k.say("Nose blocked")
	k.say("Driving: did not nod off")
	k.hears("leave the lip part off tonight")
}

// After a night without breath under it the lip-seal part stays off, and the nose is
// not what is named for it, until a clinician has looked at it.
func TestTheLipSealStaysOffUntilItWasLookedAt(t *testing.T) {
	k := start(t, func(p *flows.Patient) { p.Appliance.LipSeal = true })
	const off = "Leave the lip part off until your practice has looked at it."
	for d := range civil.Date(4) {
		k.to(mon2+d, 21, 30)
		k.say("No problem tonight")
		if d == 0 || d == 3 { // under the flag the nose is not asked after
			k.say("Nose clear")
			if d == 0 {
				k.say("Driving: did not nod off")
			}
			k.hearsNot("lip part")
		} else {
			k.hears(off)
			k.hearsNot("nose")
		}
		k.say("It stands at 0")
		k.to(mon2+d+1, 7, 0)
		k.say(day)
		switch d {
		case 0:
			k.say("could not breathe", func(s *flows.Said) { s.Reading = reading.Reading{Features: reading.FLipSeal} })
			k.hears("Take the lip-seal part off at once")
		case 2:
			k.event(flows.Order{Op: flows.OrderRelease, Flag: "lipseal", Text: "a new part", Has: true, Chat: 900,
				Actor: flows.Actor{ID: "s1", Role: practice.Clinician, Chat: 900}})
		}
	}
}

// The bite may be away again, or still, when it is said in the evening.
func TestBiteSaidInTheEvening(t *testing.T) {
	k := start(t)
	k.quiet(mon2, "all night, snore 6, no pain, bite guide used")
	k.say("Bite: one side")
	k.to(mon2+1, 21, 30)
	k.say("Bite: both sides") // back by now: when?
	k.hears("When did the back teeth touch")
	k.is(mon2, chart.Bite, chart.Num(chart.BiteOne))
	k.say("Bite: one side")
	k.is(mon2, chart.BiteMinutes, chart.Num(chart.BiteNot))
}

// A hint that a question was meant is answered by that question.
func TestNamedWithoutAnAnswer(t *testing.T) {
	k := start(t)
	k.quiet(mon2, "all night, snore 6, bite guide used, bite ok")
	k.say("skip")
	k.say("sore")
	k.hears("worst pain")
	k.say("4")
	k.is(mon2, chart.Pain, chart.Num(4))
	if !slices.Contains([]chart.Field{chart.NoField, chart.Woken, chart.Where, chart.Gone}, k.p.Talk.Open) {
		t.Errorf("open %d", k.p.Talk.Open)
	}
}

// What a tap is to change waits while something else is answered, until the tap comes or the question itself is answered.
func TestAChangeWaitsForItsTap(t *testing.T) {
	edited := func(s *flows.Said) { s.Edited = true }
	begin := func() *walk {
		k := start(t)
		k.to(mon2, 21, 30)
		k.evening()
		k.to(mon2+1, 7, 0)
		k.say("all night, snore 3")
		k.say("all night, snore 5", edited)
		k.hears("change it to this")
		k.say("pain 2")
		k.is(mon2, chart.Pain, chart.Num(2))
		k.is(mon2, chart.Snoring, chart.Num(3))
		k.hears("change it to this")
		return k
	}
	k := begin()
	k.say("yes")
	k.is(mon2, chart.Snoring, chart.Num(5))
	k = begin()
	k.say("the weather is what it is over here") // words for people
	k.hears("change it to this")
	k.say("yes")
	k.is(mon2, chart.Snoring, chart.Num(5))
	k = begin()
	k.say("no")
	k.is(mon2, chart.Snoring, chart.Num(3))
	k = begin()
	k.say("snore 4")
	k.is(mon2, chart.Snoring, chart.Num(4))
	if k.p.Talk.Ask == flows.AskEdit {
		t.Error("it is asked again after the question itself was answered")
	}
}

// What the nets alone took for all of a text is saved, and troubles nobody; it changes a stored answer only by a tap.
func TestWhatTheNetsHeardChangesOnlyByATap(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	heard := func(s *flows.Said) {
		if !s.Reading.Heard {
			t.Fatalf("%q is read by the grammar alone", s.Text)
		}
	}
	k.say("snore 3 my wife says", heard)
	k.is(mon2, chart.Snoring, chart.Num(3))
	k.hearsNot("did not grasp")
	k.say("snore 5 my wife says", heard)
	k.is(mon2, chart.Snoring, chart.Num(3))
	k.hears("change it to this")
	k.hearsNot("did not grasp")
	if len(k.p.Escalations) > 0 {
		t.Errorf("people hear of it: %+v", k.p.Escalations)
	}
	k.say("yes")
	k.is(mon2, chart.Snoring, chart.Num(5))
}

// "Sorry, 2" puts right what was said last, after a tap, and is never the answer to the question that came since.
func TestANumberPutsRightTheLastAnswer(t *testing.T) {
	begin := func(said string) *walk {
		k := start(t)
		k.to(mon2, 21, 30)
		k.evening()
		k.to(mon2+1, 7, 0)
		k.say(said)
		return k
	}
	for _, words := range []string{"sorry, 2", "no, wait, 2", "make that 2", "2, I meant", "perdón, 2", "no, espera, 2"} {
		k := begin("all night, snore 3, pain 4") // whether it woke is asked
		k.say(words)
		k.is(mon2, chart.Pain, chart.Num(4))
		k.hears("change it to this", "ain 2")
		k.say("yes")
		k.is(mon2, chart.Pain, chart.Num(2))

		k = begin("all night, snore 3") // a pain is asked: the number may be that
		k.say(words)
		k.is(mon2, chart.Pain, chart.Unknown)
		k.is(mon2, chart.Snoring, chart.Num(3))
		k.hears("2")
		if k.p.Talk.Ask != flows.AskNumber {
			t.Errorf("%q: asked %v", words, k.p.Talk.Ask)
		}
		k.say("snoring 2")
		k.is(mon2, chart.Snoring, chart.Num(2))
	}
	k := begin("all night")
	k.say("sorry, 2") // of what was said last no number is asked
	k.is(mon2, chart.Snoring, chart.Num(2))
}
