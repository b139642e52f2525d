package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"duskdawn/bot/record"
	"duskdawn/flows/chart"
	"duskdawn/locales"
)

// export writes a patient's diary, course or outcomes.
func export(ctx context.Context, a app, args []string) error {
	f := a.flags("export", `write a patient's diary, a row a night; course: every event in order, for replay; or outcomes.
Patient, staff and chats are pseudonyms in it; what was typed is left out, answers and dates stay: it is still a health record.`)
	who := f.String("patient", "", "the patient's id, or the practice's own label")
	format := f.String("format", "csv", "to standard output: csv, json, course, or outcomes in words")
	lang := f.String("lang", locales.Source, "language of the outcomes")
	to := f.String("to", "", "a folder: write diary.csv, diary.json, course.jsonl and outcomes.txt there instead; nothing is overwritten")
	if err := parse(f, args); err != nil {
		return err
	}
	if *who == "" || *format != "csv" && *format != "json" && *format != "course" && *format != "outcomes" {
		fmt.Fprintln(a.err, "export: -patient is needed, and -format is csv, json, course or outcomes")
		return errUsage
	}
	if _, err := a.wordsIn(*lang); err != nil {
		return err
	}
	t, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer t.Store.Close()
	one, err := t.findPatient(ctx, *who)
	if err != nil {
		return err
	}
	if *to == "" {
		return t.export(ctx, one.ID, *format, *lang, a.out)
	}
	if err := os.MkdirAll(*to, 0o700); err != nil {
		return fmt.Errorf("making the folder: %w", err)
	}
	for _, x := range [...]struct{ name, format string }{{"diary.csv", "csv"}, {"diary.json", "json"},
		{"course.jsonl", "course"}, {"outcomes.txt", "outcomes"}} {
		path := filepath.Join(*to, x.name)
		if err := t.exportFile(ctx, one.ID, x.format, *lang, path); err != nil {
			return err
		}
		fmt.Fprintln(a.out, path)
	}
	return nil
}

// export writes one form of a patient's record.
func (t *tool) export(ctx context.Context, id chart.PatientID, format, lang string, w io.Writer) error {
	if format == "course" {
		happened, err := t.Course(ctx, id)
		if err != nil {
			return err
		}
		return record.WriteCourse(w, id, happened)
	}
	r, err := t.Record(ctx, id)
	if err != nil {
		return err
	}
	switch format {
	case "json":
		return r.JSON(w)
	case "outcomes":
		return r.Outcomes(w, t.Words, lang)
	}
	return r.CSV(w)
}

// exportFile writes a new file that its owner alone may read; what could not be
// written whole is taken away again.
func (t *tool) exportFile(ctx context.Context, id chart.PatientID, format, lang, path string) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	if err := errors.Join(t.export(ctx, id, format, lang, file), file.Sync(), file.Close()); err != nil {
		os.Remove(path) // what is left of it is of no use
		return err
	}
	return nil
}
