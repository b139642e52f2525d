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
		w.press2(clinician, "yes")
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
	w.press2(clinician, "yes")
	if !w.pr.Staff[0].OffDuty {
		t.Fatal("not off duty")
	}
	w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s2"}})
	w.must(clinician, "desk.cover.left")
	if w.pr.Staff[0].OffDuty || w.pr.Staff[2].OffDuty || len(w.pr.Covers) != 0 {
		t.Errorf("nobody is on duty: %+v", w.pr)
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
	w.press2(clinician, "yes")
	if c := w.pr.Covers; len(c) != 1 || c[0].For != "" || c[0].To != c[0].From || !strings.HasPrefix(c[0].From.String(), "2026-03-10") {
		t.Errorf("%+v", c)
	}
}
