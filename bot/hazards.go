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

// left is the risk that is left, and who accepts it.
func (p hazardPrinter) left(h basis.Hazard) string {
	return p.say("hazard.left", message.ArgN("level", h.After.Level()), message.ArgK("by", "hazard.accepts."+h.Accepts()))
}

// control is what is done, and of which kind.
func (p hazardPrinter) control(c basis.Control) string {
	return p.say("hazard.kind."+c.Kind) + ": " + c.Words[p.lang]
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
	return strings.Join(tests, ", ")
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

// markdown is the whole log, to be kept and signed: cause, hazard, harm, the risk before
// and after, what is done, what is left and who accepts it, the review, the tests. What
// shows the first control stands first.
func (p hazardPrinter) markdown(log []basis.Hazard) {
	fmt.Fprintf(p.out, "%s\n%s\n", p.say("hazard.head"), p.say("hazard.note"))
	for _, h := range log {
		w := h.Words[p.lang]
		row := func(key, text string) { fmt.Fprintf(p.out, "- %s: %s\n", p.say(key), text) }
		list := func(key string, text func(basis.Control) string) {
			fmt.Fprintf(p.out, "- %s:\n", p.say(key))
			for i, c := range h.Controls {
				fmt.Fprintf(p.out, "  %d. %s\n", i+1, text(c))
			}
		}
		fmt.Fprintf(p.out, "\n## %s\n", h.ID)
		row("hazard.cause", w.Cause)
		row("hazard.name", w.Name)
		row("hazard.effect", w.Effect)
		row("hazard.harm", w.Harm)
		row("hazard.before", p.risk(h.Before))
		row("hazard.after", p.risk(h.After))
		list("hazard.controls", p.control)
		row("hazard.residual", p.left(h))
		row("hazard.review", h.Review)
		list("hazard.tests", p.shown)
		row("hazard.owner", p.say("hazard.owner."+h.Owner))
		row("hazard.status", p.say("hazard.status."+h.Status()))
	}
	fmt.Fprintf(p.out, "\n%s\n", p.say("hazard.sign"))
}

// csv is a row a hazard, its controls and what shows them a line each within one cell.
func (p hazardPrinter) csv(log []basis.Hazard) error {
	w := csv.NewWriter(p.out)
	matrix := " (" + p.say("hazard.matrix") + ")"
	head := []string{"id"}
	for _, key := range [...]string{"cause", "name", "effect", "harm", "before", "after", "controls", "residual", "review", "tests",
		"owner", "status"} {
		head = append(head, p.say("hazard."+key))
	}
	head[5], head[6] = head[5]+matrix, head[6]+matrix
	rows := [][]string{head}
	for _, h := range log {
		x := h.Words[p.lang]
		controls, tests := make([]string, len(h.Controls)), make([]string, len(h.Controls))
		for i, c := range h.Controls {
			controls[i], tests[i] = fmt.Sprintf("%d. %s", i+1, p.control(c)), fmt.Sprintf("%d. %s", i+1, p.shown(c))
		}
		rows = append(rows, []string{h.ID, x.Cause, x.Name, x.Effect, x.Harm, p.risk(h.Before), p.risk(h.After),
			strings.Join(controls, "\n"), p.left(h), h.Review, strings.Join(tests, "\n"), p.say("hazard.owner." + h.Owner),
			p.say("hazard.status." + h.Status())})
	}
	if err := w.WriteAll(rows); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return nil
}

func (p hazardPrinter) json(log []basis.Hazard) error {
	type row struct {
		ID       string                 `json:"id"`
		Words    map[string]basis.Words `json:"words"`
		Matrix   string                 `json:"matrix"`
		Before   basis.Risk             `json:"before"`
		Level    int                    `json:"level"` // before the controls
		After    basis.Risk             `json:"after"`
		Controls []basis.Control        `json:"controls"` // with the tests of each
		Rest     int                    `json:"rest"`     // the level that is left
		Accepts  string                 `json:"accepts"`  // officer, lead or nobody
		Review   string                 `json:"review"`
		Owner    string                 `json:"owner"`
		Status   string                 `json:"status"`
	}
	rows := make([]row, len(log))
	for i, h := range log {
		rows[i] = row{h.ID, h.Words, p.say("hazard.matrix"), h.Before, h.Before.Level(), h.After, h.Controls, h.After.Level(),
			h.Accepts(), h.Review, h.Owner, h.Status()}
	}
	e := json.NewEncoder(p.out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(rows); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return nil
}
