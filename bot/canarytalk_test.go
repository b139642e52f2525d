package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
)

// canaryPeople makes a clinician and a patient of telling names on the store.
func canaryPeople(t *testing.T, platform *standin.Server, address string) (patient int64) {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	st, err := program.OpenStore(t.Context(), setup.Secret(address), false)
	must(err)
	defer st.Close()
	up, err := stage.Raise(t.Context(), platform, scheduler.NewManualClock(time.Now()), program.Parts{Store: st, Free: true})
	must(err)
	s := &stage.Scene{Stage: up}
	raw, err := stage.Scenario.ReadFile("scenario/practice.toml")
	must(err)
	pr, _ := setup.Practice(raw, s.Words.Languages())
	must(program.BringPractice(t.Context(), s.Runner, pr, raw))
	s.Doctor, err = s.JoinStaff(t.Context(), practice.Staff{ID: "sclinician", Label: canaryStaff,
		Role: practice.Clinician}, stage.UserClinician)
	must(err)
	plan, err := stage.Scenario.ReadFile("scenario/one.toml")
	must(err)
	pr, err = s.Practice(t.Context())
	must(err)
	e, faults := setup.Plan([]byte(strings.Replace(string(plan), "Wren-17", canaryLabel, 1)), &pr, s.Runner.Today(pr.Zone))
	if setup.Refused(faults) {
		t.Fatal(faults)
	}
	must(s.Admit(t.Context(), &stage.Persona{User: stage.UserPatient, Lang: "en"}, e))
	s.Halt()
	return stage.UserPatient
}

// canaryTalk says the answer by every way there is.
func canaryTalk(t *testing.T, platform *standin.Server, patient int64) {
	t.Helper()
	for i := range 12 {
		if _, err := platform.Say(patient, fmt.Sprintf("%s, bleeding and cannot breathe %d", canaryAnswer, i)); err != nil {
			t.Fatal(err)
		}
	}
	first := platform.Messages(patient)[0]
	for _, m := range platform.Messages(patient) {
		if !m.Bot {
			first = m
		}
	}
	platform.Edit(patient, patient, first.ID, canaryAnswer)
	platform.Tap(patient, patient, first.ID, "zebrafinch-data")
	platform.AddUser(standin.User{ID: 9, Name: "Zebrafinch Stranger", Language: "en"})
	platform.Say(9, canaryAnswer)
	platform.Say(9, "/start ZEBRAFINCHCODE")
	quoted, _ := json.Marshal(canaryAnswer)
	for _, raw := range []string{
		`{"message_id": ` + string(quoted) + `}`,
		`{"message_id": 1, "date": ` + string(quoted) + `, "chat": {"id": 9, "type": "private"}}`,
		`{"message_id": 1, "chat": {"id": ` + string(quoted) + `}, "text": ` + string(quoted) + `}`,
	} {
		platform.Raw("message", json.RawMessage(raw))
	}
}
