package program

import (
	"context"
	"errors"
	"fmt"
	"iter"

	"duskdawn/bot/record"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/replay"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// Patient reads one patient; the zero one where there is none.
func (p *Program) Patient(ctx context.Context, id chart.PatientID) (flows.Patient, error) {
	a, err := p.Store.Get(ctx, scheduler.PatientRef(id))
	if errors.Is(err, store.ErrNotFound) {
		return flows.Patient{}, nil
	}
	if err != nil {
		return flows.Patient{}, fmt.Errorf("reading a patient: %w", err)
	}
	return store.DecodePatient(a.Body)
}

// Record makes the record of one patient.
func (p *Program) Record(ctx context.Context, id chart.PatientID) (record.Record, error) {
	happened, err := p.Course(ctx, id)
	if err != nil {
		return record.Record{}, err
	}
	return p.RecordWith(ctx, id, replay.Keep(id, happened))
}

// RecordWith is Record where it is known what was done each night.
func (p *Program) RecordWith(ctx context.Context, id chart.PatientID, kept map[civil.Date]*replay.Kept) (record.Record,
	error) {
	one, err := p.Patient(ctx, id)
	if err != nil {
		return record.Record{}, err
	}
	var revisions []record.Revision
	for row, err := range p.Store.Diary(ctx, scheduler.PatientRef(id)) {
		if err != nil {
			return record.Record{}, fmt.Errorf("reading the diary: %w", err)
		}
		var e chart.Entry
		if err := store.Decode(row.Body, &e); err != nil {
			return record.Record{}, fmt.Errorf("a diary row: %w", err)
		}
		revisions = append(revisions, record.Revision{Night: civil.Date(row.Night), Source: row.Source, At: row.At, Entry: e})
	}
	return record.New(one, revisions, kept, p.Clock.Now()), nil
}

// listed reads the patients that a view of many shows.
func (p *Program) listed(ctx context.Context, m message.Message) ([]flows.Patient, error) {
	var found iter.Seq2[store.Summary, error]
	switch m.View {
	case message.ViewQueue:
		found = p.Store.List(ctx, store.Query{Open: true})
	case message.ViewFind:
		found = p.Runner.Labelled(ctx, m.MediaOf)
	case message.ViewDigest:
		found = p.Store.List(ctx, store.Query{})
	case message.ViewList:
		found = p.Store.List(ctx, store.Query{Limit: 200})
	default:
		return nil, nil
	}
	out, err := p.those(ctx, found, func(*flows.Patient) bool { return true })
	if err == nil && len(out) == 0 && m.View == message.ViewFind {
		return p.those(ctx, p.Store.List(ctx, store.Query{}), func(one *flows.Patient) bool { return scheduler.Found(one, m.MediaOf) })
	}
	return out, err
}

// those reads the patients of a listing that are asked for.
func (p *Program) those(ctx context.Context, found iter.Seq2[store.Summary, error], asked func(*flows.Patient) bool) (out []flows.Patient, err error) {
	for s, err := range found {
		if err != nil {
			return nil, fmt.Errorf("listing patients: %w", err)
		}
		one, err := p.Patient(ctx, chart.PatientID(s.Ref.ID))
		if err != nil {
			return nil, err
		}
		if asked(&one) {
			out = append(out, one)
		}
	}
	return out, nil
}
