package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"

	"duskdawn/bot/setup"
	"duskdawn/flows"
	"duskdawn/flows/replay"
	"duskdawn/locales"
)

// replayDiary runs a plan's rules over a diary and prints a line a night.
func replayDiary(_ context.Context, a app, args []string) error {
	f := a.flags("replay", "run a plan's rules and flags over a diary, one kept on paper included; needs no store and no chat")
	planPath := f.String("plan", "", "the plan's TOML file, as enrol takes it")
	diaryPath := f.String("diary", "", "the diary, CSV with a header row; its columns are those that export writes")
	format := f.String("format", "table", "table, or json: one object a line")
	lang := f.String("lang", locales.Source, "language of the reasons")
	if err := parse(f, args); err != nil {
		return err
	}
	if *planPath == "" || *diaryPath == "" || *format != "table" && *format != "json" {
		fmt.Fprintln(a.err, "replay: -plan and -diary are needed; -format is table or json")
		return errUsage
	}
	words, err := locales.Load()
	if err != nil {
		return fmt.Errorf("loading the words: %w", err)
	}
	if !words.Has(*lang) {
		return fmt.Errorf("there is no language %q", *lang)
	}
	file, err := os.Open(*diaryPath)
	if err != nil {
		return fmt.Errorf("reading the diary: %w", err)
	}
	defer file.Close()
	rows, bad := replay.Read(file)
	if len(rows) == 0 {
		return bad
	}
	e, err := a.planFile(words, *planPath, rows[0].Night)
	if err != nil {
		return err
	}
	p := newReplayPrinter(a.out, words, *lang, *format)
	run := replay.New(e)
	if err := run.Each(rows, p.line); err != nil {
		p.flush()
		var no *replay.Refused
		if errors.As(err, &no) {
			return fmt.Errorf("line %d, column desk_event: %s: %s", no.Line, no.Said, words.Line(*lang, flows.Say(string(no.Why))))
		}
		return err
	}
	if err := p.flush(); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return bad
}

// planFile reads a plan as enrol does; the fitting day is the diary's first
// night where the file names none.
func (a app) planFile(words *locales.Words, path string, first flows.Date) (flows.Enrolment, error) {
	raw, err := os.ReadFile(path)
	if err != nil {
		return flows.Enrolment{}, fmt.Errorf("reading the plan: %w", err)
	}
	var none flows.Practice
	e, faults := setup.Plan(raw, &none, first)
	return e, a.faults(words, "plan", faults)
}

// replayPrinter writes lines as they come: a bad row further down takes none back.
type replayPrinter struct {
	words *locales.Words
	lang  string
	json  *json.Encoder
	table *tabwriter.Writer
}

func newReplayPrinter(out io.Writer, words *locales.Words, lang, format string) *replayPrinter {
	p := &replayPrinter{words: words, lang: lang}
	if format == "json" {
		p.json = json.NewEncoder(out)
		p.json.SetEscapeHTML(false)
		return p
	}
	p.table = tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(p.table, "night\taction\trule\tfrom\tto\tmm\t%\tstate\tflags\treason")
	return p
}

func (p *replayPrinter) line(l replay.Line) error {
	l.Reason = p.words.Line(p.lang, flows.Say(l.Reason))
	if p.json != nil {
		return p.json.Encode(l)
	}
	flags := make([]string, len(l.Flags))
	for i, f := range l.Flags {
		flags[i] = f.ID + " (" + f.Class + ")"
	}
	_, err := fmt.Fprintf(p.table, "%s\t%s\t%s\t%d\t%d\t%.2f\t%.1f\t%s\t%s\t%s\n", l.Night, l.Action, l.Rule, l.From, l.To, l.MM, l.Percent, l.State, strings.Join(flags, ", "), l.Reason)
	return err
}

func (p *replayPrinter) flush() error {
	if p.table != nil {
		return p.table.Flush()
	}
	return nil
}
