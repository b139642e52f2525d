package flows_test

import (
	"slices"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

func TestLateAndDoublePresses(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("Worn all night")
	k.hears("snoring")
	k.say("Worn all night") // double press: its own field, not the next question
	k.hears("Saved: Worn all night.", "How loud was the snoring")
	k.is(mon2, chart.Snoring, chart.Unknown)
	k.say("Pain 2") // a later question's button
	k.is(mon2, chart.Pain, chart.Num(2))
	k.is(mon2, chart.Snoring, chart.Unknown)
	k.hears("How loud was the snoring")
	k.say("Pain 3") // a correction
	k.is(mon2, chart.Pain, chart.Num(3))
	k.to(mon2+1, 21, 30)
	k.say("Snoring 5") // the morning's button in the evening
	k.is(mon2, chart.Snoring, chart.Num(5))
	k.is(mon2+1, chart.Snoring, chart.Unknown)
	k.say("Skip: pain") // a late skip takes nothing away
	k.hears("Your earlier answer stays.")
	k.is(mon2, chart.Pain, chart.Num(3))
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
		k.is(mon2, chart.Snoring, chart.Num(6))
	})
	t.Run("too soon", func(t *testing.T) {
		k := at(start(t))
		k.sec++
		k.saidAt("6")
		k.is(mon2, chart.Snoring, chart.Unknown)
		k.hears("You sent 6. Which question is it for?")
		if b := k.buttons(); !slices.Contains(b, "Snoring 6") || !slices.Contains(b, "Pain 6") ||
			!slices.Contains(b, "Setting 6") {
			t.Errorf("buttons %v", b)
		}
		k.say("6") // still not named
		k.is(mon2, chart.Snoring, chart.Unknown)
		k.say("Pain 6")
		k.is(mon2, chart.Pain, chart.Num(6))
		k.say("6")
		k.is(mon2, chart.Snoring, chart.Num(6))
	})
	t.Run("a reply to the open question, at once", func(t *testing.T) {
		k := at(start(t))
		k.saidAt("6", func(s *flows.Said) { s.ReplyTo = k.msg - 1 })
		k.is(mon2, chart.Snoring, chart.Num(6))
	})
	t.Run("a reply to an older message", func(t *testing.T) {
		k := at(start(t))
		k.say("6", func(s *flows.Said) { s.ReplyTo = k.msg - 3 })
		k.is(mon2, chart.Snoring, chart.Unknown)
		k.hears("You sent 6.")
	})
	t.Run("off the scale", func(t *testing.T) {
		k := at(start(t))
		k.say("11")
		k.is(mon2, chart.Snoring, chart.Unknown)
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
		k.is(mon2, chart.WornMinutes, chart.Num(180))
		k.hears("Why was it out?")
	})
	t.Run("a setting below zero", func(t *testing.T) {
		k := start(t)
		k.to(mon2, 21, 30)
		k.say("No problem tonight")
		k.say("Driving: did not nod off")
		k.say("-1")
		k.hears("You said -1", "look again")
		k.is(mon2, chart.SettingLeft, chart.Num(-1))
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
		{"pain 3-4", "more than one number"}, {"pain 3,5", "whole numbers"}, {"pain 11", "off the scale"}, {"pain 3/4", "no slash"},
		{"pain 1e3", "can not read that number"}, {"pain 3 pain 5", "two answers"},
	} {
		k := start(t)
		k.to(mon2, 21, 30)
		k.evening()
		k.to(mon2+1, 7, 0)
		k.say(x.say)
		k.hears(x.hear, "0, none, to 10", "worst pain")
		k.is(mon2, chart.Pain, chart.Unknown)
	}
	k := start(t)
	k.to(mon2, 21, 30)
	k.evening()
	k.to(mon2+1, 7, 0)
	k.say("pain 3 to 4, snore 2") // what can be read is kept
	k.is(mon2, chart.Snoring, chart.Num(2))
	k.is(mon2, chart.Pain, chart.Unknown)
}

// A reply after midnight belongs to the same night.
func TestMidnight(t *testing.T) {
	k := start(t)
	k.quiet(mon2, day)
	k.to(mon2+1, 21, 30)
	k.to(mon2+2, 0, 30)
	k.say("No problem tonight")
	k.is(mon2+1, chart.Wrong, chart.Num(chart.No))
	k.say("It stands at 0")
	k.is(mon2+1, chart.SettingLeft, chart.Num(0))
	k.say("Snoring 4") // corrects last night, for this one is still ahead
	k.is(mon2, chart.Snoring, chart.Num(4))
	k.hears("Saved: snoring 4.")
	k.to(mon2+2, 5, 0) // early riser
	k.say("snore 7, pain 1")
	k.is(mon2+1, chart.Snoring, chart.Num(7))
	k.to(mon2+2, 7, 0)
	k.hears("Did you wear it last night?")
	k.to(mon2+2, 12, 30) // after the boundary the morning can still be answered
	k.say("Worn all night")
	k.is(mon2+1, chart.Worn, chart.Num(chart.WornAll))
}

func TestDatedAnswers(t *testing.T) {
	k := start(t)
	for d := range civil.Date(10) {
		k.quiet(mon2+d, day)
	}
	k.say("mon snore 3") // Thursday 12 March in the morning
	k.is(mon2+7, chart.Snoring, chart.Num(3))
	k.hears("Saved for Mon 9 Mar:", "Snoring 3")
	k.say("2 Mar pain 1")
	k.hears("too long ago")
	k.is(mon2, chart.Pain, chart.Num(0))
	k.say("pain 1 on 2026-04-01")
	k.hears("has not come yet")
	k.say("yesterday pain 1")
	k.is(mon2+9, chart.Pain, chart.Num(1))
}

func TestEditedMessages(t *testing.T) {
	k := start(t)
	k.quiet(mon2, day)
	edit := func(s *flows.Said) { s.Edited = true }
	k.say("pain 3", edit)
	k.hears("There is an answer", "Pain 3")
	k.is(mon2, chart.Pain, chart.Num(0))
	k.say("no")
	k.is(mon2, chart.Pain, chart.Num(0))
	k.say("pain 3", edit)
	k.say("yes")
	k.is(mon2, chart.Pain, chart.Num(3))
	k.say("pain 3", edit)
	k.hears("changes no answer")
	k.say("pain 1 snore 2", edit)
	k.hears("new message")
	k.is(mon2, chart.Pain, chart.Num(3))
}

// Words that are no answer go to people, and the open question is asked again.
func TestOtherWords(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.say("my cat sleeps on my head")
	k.hears("passed", "call 112")
	k.say("None of these")
	k.hears("Is anything wrong tonight?")
	k.say("pain 2 and the cat again")
	k.is(mon2-1, chart.Pain, chart.Num(2)) // of the day of fitting
	k.say("help")
	k.hears("When did the pain go?")
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
	k.is(mon2, chart.Pain, chart.Num(2))
	k = start(t)
	k.to(mon2, 21, 30)
	k.say("my tongue is swollen and I cannot breathe")
	k.hears("112")
	k.hearsNot("Is anything wrong tonight?")
}
