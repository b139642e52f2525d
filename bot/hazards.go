package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"duskdawn/bot/basis"
	"duskdawn/flows/message"
	"duskdawn/locales"
)

// hazards prints the hazard log for a safety officer.
func hazards(_ context.Context, a app, args []string) error {
	f := a.flags("hazards", "the hazard log: what can go wrong, what is done about it, and which tests show it")
	format := f.String("format", "table", "table, markdown, json, or csv")
	lang := f.String("lang", locales.Source, "language of the log")
	if err := parse(f, args); err != nil {
		return err
	}
	log, err := basis.Hazards()
	if err != nil {
		return err
	}
	words, err := a.wordsIn(*lang)
	if err != nil {
		return err
	}
	p := hazardPrinter{a.out, words, *lang}
	switch *format {
	case "table":
		return p.table(log)
	case "markdown":
		p.markdown(log)
		return nil
	case "json":
		return p.json(log)
	case "csv":
		return p.csv(log)
	}
	fmt.Fprintln(a.err, "hazards: -format is table, markdown, json or csv")
	return errUsage
}

// hazardPrinter prints a hazard log in a language.
type hazardPrinter struct {
	out   io.Writer
	words *locales.Words
	lang  string
}

func (p hazardPrinter) say(key string, args ...message.Arg) string {
	return p.words.Line(p.lang, message.Say(key, args...))
}

func (p hazardPrinter) risk(r basis.Risk) string {
	return p.say("hazard.risk", message.ArgK("severity", "hazard.severity."+r.Severity),
		message.ArgK("likelihood", "hazard.likelihood."+r.Likelihood), message.ArgN("level", r.Level()))
}

// shown tells what shows a control.
func (p hazardPrinter) shown(c basis.Control) string {
	switch {
	case c.People:
		return p.say("hazard.human")
	case c.Open():
		return p.say("hazard.untested")
	}
	tests := make([]string, len(c.Tests))
	for i, t := range c.Tests {
		tests[i] = t.String()
	}
	return p.say("hazard.tests") + ": " + strings.Join(tests, ", ")
}

// table is a line a hazard, for an overview.
func (p hazardPrinter) table(log []basis.Hazard) error {
	fmt.Fprintf(p.out, "%s\n%s\n\n", p.say("hazard.head"), p.say("hazard.note"))
	t := tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "\t%s\t%s\t%s\t%s\t%s\n", p.say("hazard.name"), p.say("hazard.before"), p.say("hazard.after"),
		p.say("hazard.owner"), p.say("hazard.status"))
	for _, h := range log {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\n", h.ID, h.Words[p.lang].Name, p.risk(h.Before), p.risk(h.After),
			p.say("hazard.owner."+h.Owner), p.say("hazard.status."+h.Status()))
	}
	return t.Flush()
}

// markdown is the whole log, to be kept and signed.
func (p hazardPrinter) markdown(log []basis.Hazard) {
	fmt.Fprintf(p.out, "%s\n%s\n", p.say("hazard.head"), p.say("hazard.note"))
	for _, h := range log {
		w := h.Words[p.lang]
		fmt.Fprintf(p.out, "\n## %s: %s\n", h.ID, w.Name)
		for _, row := range [][2]string{
			{"hazard.cause", w.Cause}, {"hazard.effect", w.Effect}, {"hazard.harm", w.Harm}, {"hazard.before", p.risk(h.Before)},
		} {
			fmt.Fprintf(p.out, "- %s: %s\n", p.say(row[0]), row[1])
		}
		fmt.Fprintf(p.out, "- %s:\n", p.say("hazard.controls"))
		for _, c := range h.Controls {
			fmt.Fprintf(p.out, "  - %s: %s (%s)\n", p.say("hazard.kind."+c.Kind), c.Words[p.lang], p.shown(c))
		}
		for _, row := range [][2]string{
			{"hazard.after", p.risk(h.After)}, {"hazard.accepts", p.say("hazard.accepts." + h.Accepts())},
			{"hazard.review", h.Review}, {"hazard.owner", p.say("hazard.owner." + h.Owner)},
			{"hazard.status", p.say("hazard.status." + h.Status())},
		} {
			fmt.Fprintf(p.out, "- %s: %s\n", p.say(row[0]), row[1])
		}
	}
	fmt.Fprintf(p.out, "\n%s\n", p.say("hazard.sign"))
}

// csv is a row a hazard, its controls a line each within one cell.
func (p hazardPrinter) csv(log []basis.Hazard) error {
	w := csv.NewWriter(p.out)
	head := []string{"id"}
	for _, key := range [...]string{"cause", "name", "effect", "harm", "before", "controls", "after", "accepts", "review", "owner",
		"status"} {
		head = append(head, p.say("hazard."+key))
	}
	rows := [][]string{head}
	for _, h := range log {
		x := h.Words[p.lang]
		var controls []string
		for _, c := range h.Controls {
			controls = append(controls, fmt.Sprintf("%s: %s (%s)", p.say("hazard.kind."+c.Kind), c.Words[p.lang], p.shown(c)))
		}
		rows = append(rows, []string{h.ID, x.Cause, x.Name, x.Effect, x.Harm, p.risk(h.Before), strings.Join(controls, "\n"),
			p.risk(h.After), p.say("hazard.accepts." + h.Accepts()), h.Review, p.say("hazard.owner." + h.Owner),
			p.say("hazard.status." + h.Status())})
	}
	if err := w.WriteAll(rows); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return nil
}

func (p hazardPrinter) json(log []basis.Hazard) error {
	type row struct {
		basis.Hazard
		Status  string `json:"status"`
		Level   int    `json:"level"`   // before the controls
		Rest    int    `json:"rest"`    // after them
		Accepts string `json:"accepts"` // officer, lead or nobody
	}
	rows := make([]row, len(log))
	for i, h := range log {
		rows[i] = row{h, h.Status(), h.Before.Level(), h.After.Level(), h.Accepts()}
	}
	e := json.NewEncoder(p.out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(rows); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return nil
}
