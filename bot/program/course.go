package program

import (
	"context"
	"fmt"

	"duskdawn/flows/chart"
	"duskdawn/flows/desk"
	"duskdawn/flows/practice"
	"duskdawn/flows/replay"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// Course reads a patient's events from the journal, each with what its decision
// saw of the practice.
func (p *Program) Course(ctx context.Context, id chart.PatientID) ([]replay.Happened, error) {
	return p.CourseAfter(ctx, id, 0)
}

// CourseAfter is the events of a course after one, by its number in the journal.
func (p *Program) CourseAfter(ctx context.Context, id chart.PatientID, seq int64) ([]replay.Happened, error) {
	var out []replay.Happened
	var revs []int64 // of the practice, as each event saw it
	needed := map[int64]bool{}
	for rec, err := range p.Store.Journal(ctx, scheduler.PatientRef(id)) {
		if err != nil {
			return nil, fmt.Errorf("reading a patient's journal: %w", err)
		}
		if rec.Seq <= seq || rec.What == store.WhatShown { // a text that went out, no event
			continue
		}
		r, err := scheduler.ReadRecord(rec)
		if err != nil {
			return nil, err
		}
		h := replay.Happened{Seq: rec.Seq, Event: r.Event, Given: replay.GivenIn(r.Logs), Rules: rec.Rules}
		h.Practice.Rival = r.Rival
		out, revs = append(out, h), append(revs, rec.Practice)
		needed[rec.Practice] = true
	}
	seen, err := p.practices(ctx, needed)
	if err != nil {
		return nil, err
	}
	for i := range out {
		pr, ok := seen[revs[i]]
		if !ok {
			return nil, fmt.Errorf("event %d saw revision %d of the practice, which its journal does not lead to: %w",
				out[i].Seq, revs[i], store.ErrCorrupt)
		}
		pr.Rival = pr.Rival || out[i].Practice.Rival
		out[i].Practice = pr
	}
	return out, nil
}

// practices runs the practice's journal again and keeps what is seen of it at
// the revisions needed.
func (p *Program) practices(ctx context.Context, needed map[int64]bool) (map[int64]practice.Practice, error) {
	seen := map[int64]practice.Practice{}
	now, err := p.Practice(ctx)
	if err != nil {
		return nil, err
	}
	if len(needed) == 0 || len(needed) == 1 && needed[now.Rev] {
		seen[now.Rev] = replay.SeenOf(&now) // nothing to run for what is so now
		return seen, nil
	}
	var pr practice.Practice
	keep := func() {
		if needed[pr.Rev] {
			seen[pr.Rev] = replay.SeenOf(&pr)
		}
	}
	keep()
	for rec, err := range p.Store.Journal(ctx, scheduler.PracticeRef()) {
		if err != nil {
			return nil, fmt.Errorf("reading the practice's journal: %w", err)
		}
		if rec.What == store.WhatShown {
			continue
		}
		r, err := scheduler.ReadRecord(rec)
		if err != nil {
			return nil, err
		}
		pr, _ = desk.NextPractice(pr, r.Event)
		pr.Rev = rec.Practice + 1
		keep()
	}
	return seen, nil
}
