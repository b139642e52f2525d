package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"duskdawn/bot/record"
	"duskdawn/bot/setup"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/estimate"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/replay"
	"duskdawn/locales"
	"duskdawn/scheduler"
)

// planPaths are the plan files of a replay, in the order they come in force.
type planPaths []string

func (p *planPaths) String() string { return strings.Join(*p, " ") }

func (p *planPaths) Set(path string) error {
	*p = append(*p, path)
	return nil
}

// replayDiary runs a plan's rules over a diary and prints a line a night; or
// runs an exported course again.
func replayDiary(_ context.Context, a app, args []string) error {
	f := a.flags("replay", `run a plan's rules and flags over a diary, one kept on paper included; needs no store and no chat.
The diary is CSV: a header row, then a row a night, the oldest first; an empty cell is unknown. Columns, in any order:
night (YYYY-MM-DD), setting (or setting_left and setting_right), desk_event, note,
`+columnNames()+`.
desk_event holds what was done before the evening's advice: visit 5, release 4, grant 8, order 6, plan, pause, resume, test, step,
contact, testing, steady, recall; several are separated by ;
A course.jsonl that export wrote, in place of the diary, gives the advice that was given; it holds its own plans.
It is for reading a course and for testing limits, not for setting a patient's plan.`)
	var plans planPaths
	f.Var(&plans, "plan", "the plan's TOML file, as enrol takes it; given again, the revision that the diary's next 'plan' puts in force. With a course: try these limits instead")
	diaryPath := f.String("diary", "", "the diary, or a course.jsonl")
	coursePath := f.String("course", "", "a course.jsonl that export wrote")
	estimates := f.Bool("estimate", false, "print after the nights what they say, for a clinician: what more advancement may buy, likely dates, soreness, evenings lost; no rule reads it")
	var among planPaths
	f.Var(&among, "among", "with -estimate: a course.jsonl of one of the practice's ended courses, to be set among; given again, another")
	format := f.String("format", "table", "table, or json: one object a line")
	lang := f.String("lang", locales.Source, "language of the reasons")
	if err := parse(f, args); err != nil {
		return err
	}
	path := *diaryPath + *coursePath
	if path == "" || *diaryPath != "" && *coursePath != "" || *format != "table" && *format != "json" {
		fmt.Fprintln(a.err, "replay: -plan and -diary are needed, or -course; -format is table or json")
		return errUsage
	}
	if len(among) > 0 && !*estimates {
		fmt.Fprintln(a.err, "replay: -among says nothing without -estimate")
		return errUsage
	}
	words, err := locales.Load()
	if err != nil {
		return fmt.Errorf("loading the words: %w", err)
	}
	if !words.Has(*lang) {
		return fmt.Errorf("there is no language %q", *lang)
	}
	file, err := setup.Open(path, setup.RecordsMost)
	if err != nil {
		return fmt.Errorf("reading the diary: %w", err)
	}
	defer file.Close()
	in := bufio.NewReader(file)
	head, _ := in.Peek(64) // a file that is shorter or cannot be read shows itself below
	defer fmt.Fprintln(a.err, "replay: for reading a course and for testing limits, not for setting a patient's plan")
	p := &replayPrinter{out: a.out, words: words, lang: *lang, format: *format, estimates: *estimates}
	if err := p.setAmong(among); err != nil {
		return err
	}
	switch {
	case *coursePath != "" || record.IsCourse(head):
		return a.replayCourse(in, plans, p)
	case len(plans) == 0:
		fmt.Fprintln(a.err, "replay: -plan is needed: the diary says nothing of the limits")
		return errUsage
	}
	return a.replayRows(in, plans, p)
}

// columnNames lists the answer columns of a diary, the settings apart.
func columnNames() string {
	var b strings.Builder
	for i, c := range chart.Columns() {
		switch {
		case c.Field == chart.SettingLeft || c.Field == chart.SettingRight:
			continue
		case i > 0 && i%8 == 0:
			b.WriteString(",\n")
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(c.Name)
	}
	return b.String()
}

// replayRows runs the rules over a diary's rows.
func (a app) replayRows(in io.Reader, plans planPaths, p *replayPrinter) error {
	rows, bad := replay.Read(in)
	if len(rows) == 0 {
		return bad
	}
	var first chart.Enrolment
	var later []chart.Plan
	for i, path := range plans {
		e, err := a.planFile(p.words, path, rows[0].Night)
		if err != nil {
			return err
		}
		if i == 0 {
			first = e
			continue
		}
		if err := replay.SameAppliance(&first.Appliance, &e.Appliance); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		later = append(later, e.Plan)
	}
	if end := first.Plan.Ends; end != 0 && rows[0].Night > end {
		fmt.Fprintf(a.err, "plan: it ends on %s, before the diary begins: nothing goes forward; another 'fitted' or 'ends' would help\n", end)
	}
	run := replay.New(first, later...)
	err := run.Each(rows, func(l replay.Line) error {
		p.book.Read(&run.Course)
		return p.line(l)
	})
	p.book.Read(&run.Course)
	return p.end(err, bad, func() []message.Line {
		return p.estimate(estimate.Of(&run.Course, run.Facts(), p.book, estimate.Tonight(&run.Course)))
	})
}

// replayCourse runs a course again, with the plans that were signed in it, and
// says where these rules give another advice than was given then.
func (a app) replayCourse(in io.Reader, plans planPaths, p *replayPrinter) error {
	id, happened, bad := record.ReadCourse(in)
	c := replay.Course{ID: id}
	switch {
	case len(happened) == 0:
		return bad
	case len(plans) > 1:
		fmt.Fprintln(a.err, "replay: a course holds its own plans; one -plan at most tries other limits")
		return errUsage
	case len(plans) == 1:
		e, err := a.planFile(p.words, plans[0], happened[0].Event.Office.Date)
		if err != nil {
			return err
		}
		if err := replay.Fits(happened, &e); err != nil {
			return fmt.Errorf("%s: %w", plans[0], err)
		}
		c.Limits = &e.Plan.Limits
	}
	var differs []error
	older, rules := 0, int32(scheduler.RulesVersion)
	for i := range happened {
		if h := &happened[i]; h.Rules != 0 && h.Rules != rules {
			rules = h.Rules
			fmt.Fprintf(a.err, "replay: from event %d on, %s, the journal was written by version %d of the rules; these are version %d\n",
				h.Seq, h.Event.Wall.Date, rules, scheduler.RulesVersion)
		}
		line, advised, _ := c.Next(&happened[i])
		if c.Limits == nil {
			if err := c.Check(&happened[i], advised); err != nil && rules != scheduler.RulesVersion {
				older++
			} else if err != nil {
				differs = append(differs, err)
			}
		}
		p.book.Read(&c.Patient.Course)
		if advised {
			if err := p.line(line); err != nil {
				return p.end(err, nil, nil)
			}
		}
	}
	if older > 0 {
		fmt.Fprintf(a.err, "replay: %d advices of other versions of the rules were given otherwise; what is shown is what these rules say\n", older)
	}
	said := func() []message.Line { return p.estimate(courseRecord(&c, p.book)) }
	if len(differs) > 0 {
		return p.end(fmt.Errorf("%d advices are not as they were given; the first: %w", len(differs), differs[0]), bad, nil)
	}
	return p.end(nil, bad, said)
}

// planFile reads a plan as enrol does; the fitting day is the diary's first
// night where the file names none.
func (a app) planFile(words *locales.Words, path string, first civil.Date) (chart.Enrolment, error) {
	raw, _, err := setup.FromDisk(path)
	if err != nil {
		return chart.Enrolment{}, fmt.Errorf("reading the plan: %w", err)
	}
	var none practice.Practice
	e, faults := setup.Plan(raw, &none, first)
	return e, a.faults(words, "plan", faults)
}

// replayPrinter writes lines as they come: a bad row further down takes none back.
type replayPrinter struct {
	out    io.Writer
	words  *locales.Words
	lang   string
	format string
	json   *json.Encoder
	table  *tabwriter.Writer

	estimates bool
	book      estimate.Book // every night so far
	ended     []estimate.Ended
	lost      estimate.Lost // of the ended courses together
}

func (p *replayPrinter) line(l replay.Line) error {
	l.Reason = p.words.Line(p.lang, message.Say(l.Reason))
	if p.format == "json" {
		if p.json == nil {
			p.json = json.NewEncoder(p.out)
			p.json.SetEscapeHTML(false)
		}
		return p.json.Encode(l)
	}
	if p.table == nil {
		p.table = tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
		fmt.Fprintln(p.table, "night\taction\trule\tfrom\tto\tmm\t%\tstate\tflags\treason")
	}
	flags := make([]string, len(l.Flags))
	for i, f := range l.Flags {
		flags[i] = f.ID + " (" + f.Class + ")"
	}
	_, err := fmt.Fprintf(p.table, "%s\t%s\t%s\t%d\t%d\t%.2f\t%.1f\t%s\t%s\t%s\n", l.Night, l.Action, l.Rule, l.From, l.To,
		l.MM, l.Percent, l.State, strings.Join(flags, ", "), l.Reason)
	return err
}

// end writes what is left of the table, then the estimates where they are asked
// for, and gives the first of what went wrong: the replay itself, the writing, a
// bad row further down.
func (p *replayPrinter) end(err, bad error, said func() []message.Line) error {
	var written error
	if p.table != nil {
		written = p.table.Flush()
	}
	var no *replay.Refused
	switch {
	case errors.As(err, &no):
		return fmt.Errorf("line %d, column desk_event: %s: %s", no.Line, no.Said,
			p.words.Line(p.lang, message.Say(string(no.Why))))
	case err != nil:
		return err
	case written != nil:
		return fmt.Errorf("writing: %w", written)
	case p.estimates && said != nil && len(p.book) > 0:
		if err := p.say(said()); err != nil {
			return fmt.Errorf("writing: %w", err)
		}
	case bad == nil && p.json == nil && p.table == nil && p.format == "table":
		fmt.Fprintln(p.out, "no advice was given yet")
	}
	return bad
}
