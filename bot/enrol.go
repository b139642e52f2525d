package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"os"

	"duskdawn/bot/setup"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/scheduler"
)

// enrolPatient enrols a patient from a plan file, signed by a clinician of the practice.
func enrolPatient(ctx context.Context, a app, args []string) error {
	f := a.flags("enrol", "enrol a patient from a plan file; the clinician named signs every limit in it")
	path := f.String("plan", "", "the plan's TOML file")
	by := f.String("clinician", "", "id of the clinician who signs, as 'staff list' shows it")
	sign := f.Bool("sign", false, "sign; without it the summary is shown and nothing is kept")
	if err := parse(f, args); err != nil {
		return err
	}
	if *path == "" {
		fmt.Fprintln(a.err, "enrol: -plan is needed")
		return errUsage
	}
	raw, err := os.ReadFile(*path)
	if err != nil {
		return fmt.Errorf("reading the plan: %w", err)
	}
	t, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer t.store.Close()
	pr, err := t.runner.Practice(ctx)
	if err != nil {
		return err
	}
	today := t.runner.Today(pr.Zone)
	e, faults := setup.Plan(raw, &pr, today)
	if err := a.faults(t.words, "plan", faults); err != nil {
		return err
	}
	s, ok := pr.ByID(*by)
	if ok = ok && !s.Removed && s.Role == practice.Clinician; !ok && (*sign || *by != "") {
		return errors.New("-clinician is not the id of a clinician of this practice; 'staff list' shows the ids")
	}
	for _, l := range enrol.Summarise(e).Say(&e) {
		fmt.Fprintln(a.out, t.words.Line(locales.Source, l))
	}
	if end := e.Plan.Ends; end != 0 && today > end {
		fmt.Fprintf(a.err, "plan: its last night was %s: nothing goes forward; another 'fitted' or 'ends' would help\n", end)
	}
	if !*sign {
		fmt.Fprintln(a.out, "Nothing is kept. Read it with the clinician, then run it again with -sign -clinician ID.")
		return nil
	}
	id, code, err := enrolOne(ctx, t.runner, s, e)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "patient  %s\n", id)
	if pr.BotName != "" {
		fmt.Fprintf(a.out, "link     %s\n", joinLink(pr.BotName, "start", code))
	} else {
		fmt.Fprintln(a.out, "link     known once serve has run: open the bot and type the code")
	}
	fmt.Fprintf(a.out, "code     %s\nBoth work once, for 15 minutes. Nothing starts until the patient has agreed and staff have confirmed the person.\n", code)
	return nil
}

// enrolOne commits one signed enrolment.
func enrolOne(ctx context.Context, r *scheduler.Runner, by practice.Staff, e chart.Enrolment) (chart.PatientID, string,
	error) {
	var idSeed, codeSeed [16]byte
	rand.Read(idSeed[:])
	rand.Read(codeSeed[:])
	id := flows.NewPatientID(idSeed)
	code := flows.NewCode(string(id[:2]), codeSeed)
	actor := flows.Actor{ID: by.ID, Name: by.Label, Chat: by.Chat, Role: by.Role}
	if taken, err := r.LabelTaken(ctx, id, e.Label); err != nil {
		return "", "", err
	} else if taken {
		return "", "", fmt.Errorf("another patient goes by the label %q", e.Label)
	}
	err := r.Handle(ctx, scheduler.PatientRef(id), "enrol/"+string(id), flows.Enrol{Enrolment: e, Actor: actor, Code: code,
		Chat: by.Chat})
	return id, code, err
}
