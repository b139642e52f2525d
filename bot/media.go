package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"strings"

	"duskdawn/bot/record"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/replay"
	"duskdawn/scheduler"
	"duskdawn/store"

	"rsc.io/qr"
)

// media makes the picture or document of a message, as late as possible.
func (p *program) media(ctx context.Context, m message.Message, lang string) (*telegram.File, error) {
	switch kind, _, _ := strings.Cut(m.Media, "."); kind {
	case "qr":
		return qrCode(m.MediaOf)
	case "diary":
		r, err := p.record(ctx, m.Subject)
		if err != nil {
			return nil, err
		}
		var b bytes.Buffer
		if err := r.CSV(&b); err != nil {
			return nil, err
		}
		return &telegram.File{Kind: telegram.Document, Name: "diary.csv", Data: b.Bytes()}, nil
	case "howto":
		return howto(m.MediaOf)
	}
	return nil, fmt.Errorf("no media of the kind %q", m.Media)
}

// qrCode makes the picture of a link.
func qrCode(link string) (*telegram.File, error) {
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		return nil, fmt.Errorf("making the picture of a link: %w", err)
	}
	return &telegram.File{Kind: telegram.Photo, Name: "join.png", Data: code.PNG()}, nil
}

// howto is the practice's own picture or video, as cardFile named it.
func howto(of string) (*telegram.File, error) {
	kind, where, _ := strings.Cut(of, ":")
	path, ok := strings.CutPrefix(where, "file:")
	if !ok {
		return &telegram.File{Kind: telegram.FileKind(kind), ID: strings.TrimPrefix(where, "id:")}, nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, nil // the text goes out without the picture, rather than not at all
	}
	return &telegram.File{Kind: telegram.FileKind(kind), Name: "card" + filepath.Ext(path), Data: data}, nil
}

// listed reads the patients that a view of many shows.
func (p *program) listed(ctx context.Context, m message.Message) ([]flows.Patient, error) {
	var found iter.Seq2[store.Summary, error]
	switch m.View {
	case message.ViewQueue:
		found = p.store.List(ctx, store.Query{Open: true})
	case message.ViewFind:
		found = p.runner.Labelled(ctx, m.MediaOf)
	case message.ViewList:
		found = p.store.List(ctx, store.Query{Limit: 200})
	default:
		return nil, nil
	}
	var out []flows.Patient
	for s, err := range found {
		if err != nil {
			return nil, fmt.Errorf("listing patients: %w", err)
		}
		one, err := p.patient(ctx, chart.PatientID(s.Ref.ID))
		if err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}

// patient reads one patient; the zero one where there is none.
func (p *program) patient(ctx context.Context, id chart.PatientID) (flows.Patient, error) {
	a, err := p.store.Get(ctx, scheduler.PatientRef(id))
	if errors.Is(err, store.ErrNotFound) {
		return flows.Patient{}, nil
	}
	if err != nil {
		return flows.Patient{}, fmt.Errorf("reading a patient: %w", err)
	}
	return store.DecodePatient(a.Body)
}

// record makes the record of one patient.
func (p *program) record(ctx context.Context, id chart.PatientID) (record.Record, error) {
	one, err := p.patient(ctx, id)
	if err != nil {
		return record.Record{}, err
	}
	var revisions []record.Revision
	for row, err := range p.store.Diary(ctx, scheduler.PatientRef(id)) {
		if err != nil {
			return record.Record{}, fmt.Errorf("reading the diary: %w", err)
		}
		var e chart.Entry
		if err := store.Decode(row.Body, &e); err != nil {
			return record.Record{}, fmt.Errorf("a diary row: %w", err)
		}
		revisions = append(revisions, record.Revision{Night: civil.Date(row.Night), Source: row.Source, At: row.At, Entry: e})
	}
	happened, err := p.course(ctx, id)
	if err != nil {
		return record.Record{}, err
	}
	return record.New(one, revisions, replay.Keep(id, happened), p.clock.Now()), nil
}
