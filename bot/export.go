package main

import (
	"context"
	"fmt"

	"duskdawn/scheduler"
)

// export writes a patient's diary to standard output.
func export(ctx context.Context, a app, args []string) error {
	f := a.flags("export", "write a patient's diary, a row a night")
	who := f.String("patient", "", "the patient's id, or the practice's own label")
	format := f.String("format", "csv", "csv or json")
	if err := parse(f, args); err != nil {
		return err
	}
	if *who == "" || *format != "csv" && *format != "json" {
		fmt.Fprintln(a.err, "export: -patient is needed, and -format is csv or json")
		return errUsage
	}
	t, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer t.store.Close()
	one, err := t.findPatient(ctx, *who)
	if err != nil {
		return err
	}
	p := &program{store: t.store, clock: scheduler.RealClock{}}
	r, err := p.record(ctx, one.ID)
	if err != nil {
		return err
	}
	if *format == "json" {
		return r.JSON(a.out)
	}
	return r.CSV(a.out)
}
