package desk

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/practice"
)

func (w *world) menu(chat int64, arg string) {
	w.chat(chat, flows.Tap{Chat: chat, User: chat, Op: opMenu, Arg: arg})
}

// A clinician changes what is usual in new plans; it stands before the file's, behind a
// template, is kept when the file is read again, and touches nothing that is signed.
func TestUsual(t *testing.T) {
	w := newWorld(t)
	w.menu(assistant, opUsual)
	w.must(assistant, "desk.refused.role")
	w.menu(clinician, opUsual)
	w.must(clinician, "desk.usual.head")
	w.say(clinician, "ceiling: 6")
	w.must(clinician, "desk.bad.limit")
	w.say(clinician, "interval: 1")
	w.must(clinician, "enrol.bad.bounds")
	w.say(clinician, "loud: 5\ntarget: 4\ninterval: 6")
	w.say(clinician, "done")
	w.must(clinician, "desk.usual.sum")
	w.say(clinician, "yes")
	w.must(assistant, "desk.usual.set")
	fields := enrol.FormFields()
	interval := fields[enrol.FormIndex(fields, "interval")]
	usual := func(template string) string {
		return interval.DefaultFor(&w.pr, &chart.Enrolment{Template: template}, 20000)
	}
	if usual("") != "6" || len(w.pr.Own) != 3 {
		t.Errorf("%q, %v", usual(""), w.pr.Own)
	}
	file := w.pr
	file.Own, file.Templates = nil, []practice.Template{{Name: "Quick", Blanks: []practice.Blank{{Key: "interval", Value: "2"}}}}
	w.office(flows.Settings{Practice: file})
	if usual("") != "6" || usual("Quick") != "2" {
		t.Errorf("%q %q", usual(""), usual("Quick"))
	}
	w.menu(clinician, opUsual)
	w.say(clinician, "done")
	w.must(clinician, "desk.nochange")
}

// Over a holiday one person has the duty and nobody else; for somebody's leave one
// takes the place of one. The rota goes on beneath, and comes back with the last day.
func TestCover(t *testing.T) {
	w := newWorld(t)
	w.pr.Staff = append(w.pr.Staff, practice.Staff{ID: "s3", Label: "Rowan", Role: practice.Clinician, Chat: 103, Lang: "en", OffDuty: true})
	w.pr.Rota = []practice.Shift{{Staff: "Rowan", From: "0 8 * * MON", To: "0 20 * * MON"}}
	off := func() (out string) {
		for _, s := range w.pr.Staff {
			if s.OffDuty {
				out += s.Label + " "
			}
		}
		return out
	}
	today := civil.Date(w.now.Unix() / 86400)
	w.menu(assistant, opCover)
	w.must(assistant, "desk.refused.role")
	w.menu(clinician, opCover)
	w.say(clinician, (today - 1).String())
	w.must(clinician, "desk.bad.days")
	w.say(clinician, (today+1).String()+" "+(today+2).String())
	w.press2(clinician, "s2")
	w.press2(clinician, "all")
	w.sets(clinician)
	w.must(assistant, "desk.cover.set")
	if off() != "Rowan " {
		t.Errorf("today off duty: %s", off())
	}
	day := func(n int) {
		w.now = w.now.Add(time.Duration(n) * 24 * time.Hour)
		w.office(flows.Due{Name: coverName})
	}
	if x := w.timers[coverName]; x.At.Date != today+1 || !x.Office {
		t.Fatalf("%+v", x)
	}
	day(1)
	if off() != "Ondine Teal " {
		t.Errorf("on the first day off duty: %s", off())
	}
	w.office(flows.Due{Name: rotaName(0, true)}) // Rowan's own shift begins and ends meanwhile
	w.office(flows.Due{Name: rotaName(0, false)})
	if off() != "Ondine Teal " {
		t.Errorf("after a shift off duty: %s", off())
	}
	day(1)
	day(1)
	if off() != "Rowan " || len(w.pr.Covers) != 0 {
		t.Errorf("when it is over off duty: %s, %v", off(), w.pr.Covers)
	}
	// For one person, and ended before its time.
	w.menu(clinician, opCover)
	w.say(clinician, (today + 3).String())
	w.press2(clinician, "s2")
	w.press2(clinician, "s0")
	w.say(clinician, "yes")
	if off() != "Ondine " {
		t.Errorf("off duty: %s", off())
	}
	w.menu(clinician, opCover)
	w.press(clinician, "desk.b.uncover")
	w.must(assistant, "desk.cover.ended")
	if off() != "Rowan " {
		t.Errorf("off duty: %s", off())
	}
}
