package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/locales"
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
	raw, _, err := setup.FromDisk(*path)
	if err != nil {
		return fmt.Errorf("reading the plan: %w", err)
	}
	t, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer t.close()
	pr, err := t.Runner.Practice(ctx)
	if err != nil {
		return err
	}
	s, ok := pr.ByID(*by)
	if ok = ok && !s.Removed && s.Role == practice.Clinician; !ok && (*sign || *by != "") {
		return errors.New("-clinician is not the id of a clinician of this practice; 'staff list' shows the ids")
	}
	today := t.Runner.Today(pr.Zone)
	e, faults := setup.Plan(raw, &pr, today)
	if err := a.faults(t.Words.On(today.Time()), "plan", faults); err != nil {
		return err
	}
	if taken, err := t.Runner.LabelTaken(ctx, "", e.Label); err != nil {
		return err
	} else if taken {
		return fmt.Errorf("another patient goes by the label %q", e.Label)
	}
	person, limits := enrol.Sheet(&e, &pr, today)
	now := e
	now.Plan.On = today
	for _, l := range slices.Concat([]message.Line{message.Say("enrol.sum", message.ArgS("label", e.Label))}, person,
		enrol.Summarise(now).Say(&e), limits) {
		fmt.Fprintln(a.out, t.Words.On(today.Time()).Line(locales.Source, l))
	}
	if !*sign {
		fmt.Fprintln(a.out, "Nothing is kept. Read it with the clinician, then run it again with -sign -clinician ID.")
		return nil
	}
	id, code, err := program.Enrol(ctx, t.Runner, s, e, true)
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
