package flows

import (
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// A same-day flag in office hours that reaches nobody is called outside again and again,
// with the pauses of an emergency; in the night once, tried for half an hour; and again
// an hour and a quarter after the office has opened.
func TestASameDayFlagThatReachesNobody(t *testing.T) {
	nobody := func(pr *practice.Practice) { pr.Staff = nil }
	v := vigilAt(t, "2026-11-05 10:00", nobody).sameDay()
	v.want(v.seen, "Thu 10:00 call")
	v.want(v.until("2026-11-05 16:59"), "Thu 10:15 call", "Thu 10:45 call", "Thu 11:45 call", "Thu 13:45 call")
	v.want(v.until("2026-11-06 09:00"), "Thu 17:45 call")
	v.want(v.until("2026-11-06 16:00"), "Fri 10:15 call", "Fri 14:15 call")

	v = vigilAt(t, "2026-11-05 22:00", nobody).sameDay()
	v.want(v.seen, "Thu 22:00 call")
	for _, x := range v.out {
		if c, ok := x.(Call); ok && (c.Within != 30 || c.Class != redflag.ClassS) {
			t.Errorf("%+v", c)
		}
	}
	v.want(v.until("2026-11-06 10:30"), "Fri 10:15 call")
}

// Where people are rung in office hours and nobody takes a same-day flag, it is called
// outside from the ring after the deadline on, as an emergency is.
func TestASameDayFlagThatNobodyTakes(t *testing.T) {
	v := vigilAt(t, "2026-11-05 10:00", nil).sameDay()
	v.want(v.seen, "Thu 10:00 clin asst")
	v.want(v.until("2026-11-05 12:20"), "Thu 11:00 clin asst off", "Thu 11:15 clin asst off call", "Thu 11:30 clin asst off call",
		"Thu 12:00 clin asst off call")
	// Raised shortly before the office opens: those who come in have the time it has.
	v = vigilAt(t, "2026-11-05 08:50", nil).sameDay()
	v.want(v.until("2026-11-05 10:06"), "Thu 09:00 clin asst off", "Thu 09:15 clin asst off", "Thu 09:30 clin asst off",
		"Thu 10:00 clin asst off")
}

// The next ring is never later than the outside call that is due: a second before it
// the ring comes a minute on, and at its instant the usual pause begins.
func TestRingsAndCallsMeet(t *testing.T) {
	for seconds, after := range map[int64]int{61: 2, 60: 1, 1: 1, 0: 15, -1: 15} {
		l := active(t).say("I cannot breathe", reading.Reading{Features: reading.FBreath})
		esc := l.must("breath")
		l.later(15)
		esc.CallAt = l.time() + seconds
		l.on(Due{Name: ringName(esc.N)})
		if at, ok := l.timer(ringName(esc.N)); !ok || at.After != after {
			t.Errorf("%d seconds before a call: %+v, want %d minutes", seconds, at, after)
		}
	}
}

// A practice's own deadlines, be they of a minute, and the usual ones.
func TestDeadlines(t *testing.T) {
	for own, want := range map[int16][2]int{0: {15, 60}, 1: {1, 1}, 20: {20, 20}} {
		pr := practice.Practice{MinutesE: own, MinutesS: own}
		if e, s := Deadline(&pr, redflag.ClassE), Deadline(&pr, redflag.ClassS); e != want[0] || s != want[1] {
			t.Errorf("%d: %d and %d minutes, want %v", own, e, s, want)
		}
	}
}

// An appliance left out for one night only leaves somebody without treatment, too.
func TestLeavingItOutForANight(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: monday(), Clock: 20 * 60}
	l.say("I am vomiting", reading.Reading{Features: reading.FVomit}).want(0, "caution.vomit").want(0, "advice.other").want(0, "advice.nodrive")
}
