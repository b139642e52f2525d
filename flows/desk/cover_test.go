package desk

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

func (w *world) day(n int) civil.Date { return civil.Date(w.now.Unix()/86400) + civil.Date(n) }

// covers fills in a cover by s2 on one day, up to the yes.
func (w *world) covers(chat int64, day civil.Date, whom string) {
	w.menu(chat, opCover)
	w.say(chat, day.String())
	w.press2(chat, "s1")
	w.press2(chat, whom)
}

// sets says yes twice, where the cover leaves a gap.
func (w *world) sets(chat int64) {
	w.press2(chat, "yes")
	w.press2(chat, "yes")
}

// Who sets or ends a cover is always answered, whatever became of it meanwhile.
func TestCoverAnswers(t *testing.T) {
	manage := func(op flows.ManageOp, n int) func(*world) {
		return func(w *world) {
			w.office(flows.Manage{Op: op, Actor: flows.Actor{ID: "s1"}, Cover: &practice.Cover{From: w.day(n), To: w.day(n), Who: "s2"}})
		}
	}
	for want, do := range map[string]func(*world){
		"desk.cover.same": func(w *world) {
			w.covers(clinician, w.day(1), "all")
			manage(flows.ManageCover, 1)(w)
			w.press2(clinician, "yes")
			w.said[clinician] = nil
			w.press2(clinician, "yes")
		},
		"desk.cover.over": manage(flows.ManageCover, -1),
		"desk.cover.gone": manage(flows.ManageUncover, 3),
		"desk.cover.many": func(w *world) {
			for n := range mostCovers {
				manage(flows.ManageCover, n)(w)
			}
			w.menu(clinician, opCover)
			w.said[clinician] = nil
			w.say(clinician, w.day(20).String())
			w.must(clinician, "desk.cover.many")
			manage(flows.ManageCover, 20)(w)
		},
	} {
		w := newWorld(t)
		if do(w); !w.heard(clinician, want) || len(w.pr.Covers) > mostCovers || len(w.keys(clinician)) != 1 {
			t.Errorf("%s: %v, %d covers", want, w.keys(clinician), len(w.pr.Covers))
		}
	}
}

// A button ends the cover that it names, and no other where the list has changed.
func TestUncoverNamesItsCover(t *testing.T) {
	w := newWorld(t)
	w.second()
	for _, n := range []int{1, 3} {
		w.covers(clinician, w.day(n), "all")
		w.sets(clinician)
	}
	w.menu(clinician, opCover)
	w.menu(other, opCover)
	first := w.last(other).Inline[0][0].Arg
	w.press(other, "desk.b.uncover")
	if len(w.pr.Covers) != 1 || w.pr.Covers[0].From != w.day(3) {
		t.Fatalf("%+v", w.pr.Covers)
	}
	w.press2(clinician, first)
	if w.must(clinician, "desk.cover.gone"); len(w.pr.Covers) != 1 {
		t.Errorf("another cover was ended: %+v", w.pr.Covers)
	}
}

// Where whoever covers leaves, the others have the duty again, and are told.
func TestCoverOfOneWhoLeaves(t *testing.T) {
	w := newWorld(t)
	w.second()
	w.covers(clinician, w.day(0), "all")
	w.sets(clinician)
	if !w.pr.Staff[0].OffDuty {
		t.Fatal("not off duty")
	}
	w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s2"}})
	w.must(clinician, "desk.cover.left")
	if w.pr.Staff[0].OffDuty || w.pr.Staff[2].OffDuty || len(w.pr.Covers) != 0 {
		t.Errorf("nobody is on duty: %+v", w.pr)
	}
	if w.heard(clinician, "desk.gap.day") {
		t.Error("a gap where nobody covers")
	}
	w.covers(clinician, w.day(2), "all") // the buttons of who has left are gone
	if w.heard(clinician, "desk.cover.for") {
		t.Error("somebody who left was asked to cover")
	}
}

// A day that is none is refused, not left out; going back forgets whom it was for.
func TestCoverDays(t *testing.T) {
	w := newWorld(t)
	w.menu(clinician, opCover)
	for _, days := range []string{"2026-03-10 2026-03-32", "2026-03-10 12", "10 March", "2026-03-12 2026-03-10", "2026-03-10 2026-03-11 2026-03-12"} {
		w.say(clinician, days)
		w.must(clinician, "desk.bad.days")
	}
	w.say(clinician, "2026-03-10, 2026-03-12.")
	w.press2(clinician, "s1")
	w.press2(clinician, "s0")
	w.say(clinician, "back")
	w.say(clinician, "2026-03-10")
	w.press2(clinician, "s1")
	w.press2(clinician, "all")
	w.sets(clinician)
	if c := w.pr.Covers; len(c) != 1 || c[0].For != "" || c[0].To != c[0].From || !strings.HasPrefix(c[0].From.String(), "2026-03-10") {
		t.Errorf("%+v", c)
	}
}

// A cover that leaves no clinician on duty, or nobody, says when before it is set and asks
// a second time; everybody hears of it, and the digest of the days before tells it.
func TestCoverLeavesNobody(t *testing.T) {
	w := newWorld(t)
	w.covers(clinician, w.day(3), "all")
	w.must(clinician, "desk.gap.day")
	w.press2(clinician, "yes")
	if len(w.pr.Covers) != 0 {
		t.Fatal("set without a second yes")
	}
	if !w.heard(clinician, "desk.cover.gaps") {
		t.Error("not asked a second time")
	}
	w.press(clinician, "desk.b.anyway")
	if w.must(assistant, "desk.gap.day"); len(w.pr.Covers) != 1 {
		t.Fatal("not set")
	}
	w.said[clinician] = nil
	digest := func(n int) (told int) {
		lines, _ := Digest(&w.pr, w.pr.Staff[0], shownAt{digestName, 0, w.day(n), w.now.Unix()}.String(), nil)
		for _, l := range lines {
			if strings.HasPrefix(l.Key, "desk.gap.") {
				told++
			}
		}
		return told
	}
	if digest(0) != 1 || digest(4) != 0 {
		t.Errorf("the digest tells %d of a day ahead, and %d of a day past", digest(0), digest(4))
	}
	// Somebody of both roles for everybody else is no gap, and is asked once.
	w.menu(clinician, opCover)
	w.say(clinician, w.day(3).String())
	w.press2(clinician, "s0")
	w.press2(clinician, "all")
	if w.heard(clinician, "desk.gap.day") {
		t.Error("a gap where both are on duty")
	}
	if w.press2(clinician, "yes"); len(w.pr.Covers) != 2 {
		t.Error("not set")
	}
}

// Where a clinician leaves and those who cover are alone with it, everybody hears when.
func TestLeavingOpensAGap(t *testing.T) {
	w := newWorld(t)
	w.second()
	w.pr.Covers = []practice.Cover{{From: w.day(4), To: w.day(4), Who: "s2"}, {From: w.day(4), To: w.day(4), Who: "s3"}}
	w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s3"}})
	w.must(assistant, "desk.gap.day")
	if len(w.pr.Covers) != 1 {
		t.Errorf("%+v", w.pr.Covers)
	}
}
