package program_test

import (
	"fmt"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
)

const benchChats = 256

// enrolBench makes a patient in the middle of the course for every chat.
func enrolBench(b *testing.B, p *program.Program) {
	raw, err := stage.Scenario.ReadFile("scenario/one.toml")
	must(b, err)
	text, err := stage.Scenario.ReadFile("scenario/practice.toml")
	must(b, err)
	pr, _ := setup.Practice(text, p.Words.Languages())
	must(b, program.BringPractice(b.Context(), p.Runner, pr, text))
	doctor := practice.Staff{ID: "sbench", Label: "Dr Bench", Role: practice.Clinician}
	must(b, p.Runner.Handle(b.Context(), scheduler.PracticeRef(), "bench",
		flows.StaffChange{Op: flows.StaffAdd, Staff: doctor}))
	for i := range benchChats {
		e, _ := setup.Plan(raw, &pr, p.Runner.Today(pr.Zone))
		e.Label = fmt.Sprintf("B-%d", i)
		id, code, err := program.Enrol(b.Context(), p.Runner, doctor, e, false)
		must(b, err)
		chat := int64(1000 + i)
		must(b, p.Runner.Handle(b.Context(), scheduler.PatientRef(id), "join", flows.Join{Chat: chat, Code: code, Gen: 1}))
		must(b, p.Runner.Handle(b.Context(), scheduler.ChatRef(chat), "bound", flows.Bound{Patient: id, Gen: 1, Lang: "en"}))
		for n, say := range []string{"yes", "yes"} {
			must(b, p.Runner.Handle(b.Context(), scheduler.PatientRef(id), fmt.Sprint("agree", n),
				flows.Said{Chat: chat, Gen: 1, Text: say, Reading: p.Words.Read(say)}))
		}
		must(b, p.Runner.Handle(b.Context(), scheduler.PatientRef(id), "confirm",
			flows.Order{Op: flows.OrderConfirm, Actor: flows.Actor{ID: doctor.ID, Role: doctor.Role}}))
	}
	// What the talk so far has ordered is not what is measured.
	for {
		out, _, err := p.Store.Lease(b.Context(), p.Clock.Now(), 1000, store.LaneAll, time.Minute)
		must(b, err)
		if len(out) == 0 {
			return
		}
		for _, it := range out {
			must(b, p.Store.Settle(b.Context(), it.ID, store.Settlement{Outcome: store.Cancelled}))
		}
	}
}

func must(b *testing.B, err error) {
	b.Helper()
	if err != nil {
		b.Fatal(err)
	}
}
