package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"

	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
)

// halt stops every step where a version of the rules proves bad: until the
// owner lifts it, each advice says to change nothing, in all processes and
// after every restart. Cautions, cards and what a flag leaves out go on.
func halt(ctx context.Context, a app, args []string) error {
	f := a.flags("halt", "where the rules themselves are in doubt: every advice says to change nothing, in all processes, until lifted; without a flag say how it stands")
	rules := f.Bool("rules", false, "halt them")
	lift := f.Bool("lift", false, "let advice follow the plans again")
	if err := parse(f, args); err != nil {
		return err
	}
	if *rules && *lift {
		fmt.Fprintln(a.err, "halt: one of -rules and -lift")
		return errUsage
	}
	t, err := a.openKept(ctx)
	if err != nil {
		return err
	}
	defer t.Store.Close()
	if *rules || *lift {
		op := flows.ManageLift
		if *rules {
			op = flows.ManageHalt
		}
		m := flows.Manage{Op: op, Actor: flows.Actor{ID: practice.OwnerID, Role: practice.Owner}}
		if err := t.Runner.Handle(ctx, scheduler.PracticeRef(), "halt/"+rand.Text(), m); err != nil {
			return err
		}
	}
	pr, err := t.Runner.Practice(ctx)
	switch {
	case err != nil:
		return err
	case pr.Halted != *rules && (*rules || *lift):
		return errors.New("the halt did not change; run it again")
	case pr.Halted:
		fmt.Fprintf(a.out, "The rules (version %d) are halted: every advice says to change nothing, staff are told. What was advised before stays as it was told; a step that nobody says is made is taken back when its patient writes or is reminded.\nNext: hold back or call whoever was told wrongly. Then: halt -lift\n", scheduler.RulesVersion)
	default:
		fmt.Fprintf(a.out, "The rules (version %d) are in force.\n", scheduler.RulesVersion)
	}
	return nil
}
