package redis

import (
	"duskdawn/store"
)

// The forms in which values are stored. A field may be added under a new key; a
// key is never used again.

type rowForm struct {
	Night  int32  `cbor:"1,keyasint"`
	Source string `cbor:"2,keyasint,omitempty"`
	At     int64  `cbor:"3,keyasint,omitempty"`
	Body   []byte `cbor:"4,keyasint,omitempty"`
}

func encodeRow(r store.Row) ([]byte, error) {
	return store.Encode(rowForm{r.Night, r.Source, store.Micros(r.At), r.Body})
}

func decodeRow(rev int, b []byte) (store.Row, error) {
	var f rowForm
	err := store.Decode(b, &f)
	return store.Row{Night: f.Night, Rev: rev, Source: f.Source, At: store.FromMicros(f.At), Body: f.Body}, err
}

type recordForm struct {
	Seq      int64  `cbor:"1,keyasint"`
	At       int64  `cbor:"2,keyasint,omitempty"`
	Event    string `cbor:"3,keyasint,omitempty"`
	Actor    string `cbor:"4,keyasint,omitempty"`
	Role     string `cbor:"5,keyasint,omitempty"`
	Practice int64  `cbor:"6,keyasint,omitempty"`
	Plan     int32  `cbor:"7,keyasint,omitempty"`
	Rules    int32  `cbor:"8,keyasint,omitempty"`
	What     string `cbor:"9,keyasint,omitempty"`
	Body     []byte `cbor:"10,keyasint,omitempty"`
	Hash     []byte `cbor:"11,keyasint"`
}

func encodeRecord(r store.Record) ([]byte, error) {
	return store.Encode(recordForm{r.Seq, store.Micros(r.At), r.Event, r.Actor, r.Role, r.Practice, r.Plan, r.Rules,
		r.What, r.Body, r.Hash[:]})
}

func decodeRecord(b []byte) (store.Record, error) {
	var f recordForm
	err := store.Decode(b, &f)
	r := store.Record{Seq: f.Seq, At: store.FromMicros(f.At), Event: f.Event, Actor: f.Actor, Role: f.Role,
		Practice: f.Practice, Plan: f.Plan, Rules: f.Rules, What: f.What, Body: f.Body}
	copy(r.Hash[:], f.Hash)
	return r, err
}

type timerForm struct {
	Ref   string `cbor:"1,keyasint"`
	Name  string `cbor:"2,keyasint"`
	At    int64  `cbor:"3,keyasint,omitempty"`
	Wall  string `cbor:"4,keyasint,omitempty"`
	Zone  string `cbor:"5,keyasint,omitempty"`
	Basis string `cbor:"6,keyasint,omitempty"`
	Body  []byte `cbor:"7,keyasint,omitempty"`
}

func encodeTimer(t store.Timer) ([]byte, error) {
	return store.Encode(timerForm{t.Ref.String(), t.Name, store.Micros(t.At), t.Wall, t.Zone, t.Basis, t.Body})
}

func decodeTimer(b []byte) (t store.Timer, err error) {
	var f timerForm
	if err := store.Decode(b, &f); err != nil {
		return t, err
	}
	t = store.Timer{Name: f.Name, At: store.FromMicros(f.At), Wall: f.Wall, Zone: f.Zone, Basis: f.Basis, Body: f.Body}
	t.Ref, err = store.ParseRef(f.Ref)
	return t, err
}

type itemForm struct {
	ID        string `cbor:"1,keyasint"`
	Ref       string `cbor:"2,keyasint"`
	Queue     string `cbor:"3,keyasint"`
	Lane      int8   `cbor:"4,keyasint"`
	Key       string `cbor:"5,keyasint,omitempty"`
	Body      []byte `cbor:"6,keyasint,omitempty"`
	Lang      string `cbor:"7,keyasint,omitempty"`
	Plan      int32  `cbor:"8,keyasint,omitempty"`
	Advice    int32  `cbor:"9,keyasint,omitempty"`
	NotBefore int64  `cbor:"10,keyasint,omitempty"`
	NotAfter  int64  `cbor:"11,keyasint,omitempty"`
	Once      bool   `cbor:"12,keyasint,omitempty"`
	Ordered   int64  `cbor:"13,keyasint,omitempty"`
}

func encodeItem(it store.Item) ([]byte, error) {
	return store.Encode(itemForm{it.ID, it.Ref.String(), it.Queue, int8(it.Lane), it.Key, it.Body, it.Lang, it.Plan,
		it.Advice,
		store.Micros(it.NotBefore), store.Micros(it.NotAfter), it.Once, store.Micros(it.Ordered)})
}

// decodeItem reads an item as it was ordered.
func decodeItem(b []byte) (it store.Item, err error) {
	var f itemForm
	if err := store.Decode(b, &f); err != nil {
		return it, err
	}
	it = store.Item{ID: f.ID, Queue: f.Queue, Lane: store.Lane(f.Lane), Key: f.Key, Body: f.Body, Lang: f.Lang,
		Plan: f.Plan, Advice: f.Advice,
		NotBefore: store.FromMicros(f.NotBefore), NotAfter: store.FromMicros(f.NotAfter), Once: f.Once,
		Ordered: store.FromMicros(f.Ordered)}
	it.Ref, err = store.ParseRef(f.Ref)
	return it, err
}

type summaryForm struct {
	Ref      string `cbor:"1,keyasint"`
	Label    string `cbor:"2,keyasint,omitempty"`
	State    string `cbor:"3,keyasint,omitempty"`
	Class    byte   `cbor:"4,keyasint,omitempty"`
	Acked    bool   `cbor:"5,keyasint,omitempty"`
	Deadline int64  `cbor:"6,keyasint,omitempty"`
	Answered int32  `cbor:"7,keyasint,omitempty"`
	Review   int64  `cbor:"8,keyasint,omitempty"`
	Chat     int64  `cbor:"9,keyasint,omitempty"`
	Step     int32  `cbor:"10,keyasint,omitempty"`
}

func encodeSummary(s store.Summary) ([]byte, error) {
	return store.Encode(summaryForm{s.Ref.String(), s.Label, s.State, s.Class, s.Acked, store.Micros(s.Deadline),
		s.Answered, store.Micros(s.Review), s.Chat, s.Step})
}

func decodeSummary(b []byte) (s store.Summary, err error) {
	var f summaryForm
	if err := store.Decode(b, &f); err != nil {
		return s, err
	}
	s = store.Summary{Label: f.Label, State: f.State, Class: f.Class, Acked: f.Acked,
		Deadline: store.FromMicros(f.Deadline),
		Answered: f.Answered, Review: store.FromMicros(f.Review), Chat: f.Chat, Step: f.Step}
	s.Ref, err = store.ParseRef(f.Ref)
	return s, err
}

type asideForm struct {
	ID    string `cbor:"1,keyasint"`
	Class string `cbor:"2,keyasint"`
	Raw   []byte `cbor:"3,keyasint"`
	At    int64  `cbor:"4,keyasint"`
}
