package main

import (
	"encoding/json"
	"fmt"

	"duskdawn/bot/record"
	"duskdawn/bot/setup"
	"duskdawn/flows"
	"duskdawn/flows/estimate"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/replay"
)

// courseRecord is what a course, run again, is estimated from.
func courseRecord(c *replay.Course, book estimate.Book) estimate.Record {
	facts := c.Patient.Facts(new(practice.Practice), new(flows.Event))
	return estimate.Of(&c.Patient.Course, facts, book, estimate.Tonight(&c.Patient.Course))
}

// setAmong reads the ended courses that a course is set among.
func (p *replayPrinter) setAmong(paths []string) error {
	for _, path := range paths {
		file, err := setup.Open(path, setup.RecordsMost)
		if err != nil {
			return fmt.Errorf("reading an ended course: %w", err)
		}
		id, happened, bad := record.ReadCourse(file)
		file.Close()
		if bad != nil {
			return fmt.Errorf("reading an ended course, %s: %w", path, bad)
		}
		c := replay.Course{ID: id}
		var book estimate.Book
		for i := range happened {
			c.Next(&happened[i])
			book.Read(&c.Patient.Course)
		}
		r := courseRecord(&c, book)
		p.ended = append(p.ended, r.End())
		p.lost.Add(r.Lost())
	}
	return nil
}

// estimate is everything that the nights say; with ended courses, the evenings
// lost in all of them together too.
func (p *replayPrinter) estimate(r estimate.Record) []message.Line {
	r.Ended = p.ended
	lines := r.Lines()
	if n := len(p.ended); n > 0 {
		all := p.lost
		all.Add(r.Lost())
		lines = append(append(lines, message.Say("estimate.all", message.ArgN("n", n+1))), all.Lines()...)
	}
	return lines
}

// say writes the estimates in words: under the table, or as one object.
func (p *replayPrinter) say(lines []message.Line) error {
	said := make([]string, len(lines))
	for i, l := range lines {
		said[i] = p.words.Line(p.lang, l)
	}
	if p.format == "json" {
		enc := json.NewEncoder(p.out)
		enc.SetEscapeHTML(false)
		return enc.Encode(map[string][]string{"estimates": said})
	}
	for _, s := range append([]string{""}, said...) {
		if _, err := fmt.Fprintln(p.out, s); err != nil {
			return err
		}
	}
	return nil
}
