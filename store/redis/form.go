package redis

import (
	"duskdawn/store"
)

// The forms in which values are stored, each in an envelope that is bound to its
// kind and key. A field may be added under a new key; a key is never used again.

// enclosed encodes a form and wraps it.
func enclosed(v any, kind string, parts ...any) ([]byte, error) {
	raw, err := store.Encode(v)
	if err != nil {
		return nil, err
	}
	return store.Wrap(store.Place(kind, parts...), raw), nil
}

// read decodes what enclosed gave.
func (f form) read(row []byte, v any, kind string, parts ...any) error {
	raw, err := f.body(row, store.Place(kind, parts...))
	if err != nil {
		return err
	}
	return store.Decode(raw, v)
}

// body gives what lies in an envelope.
func (f form) body(row, place []byte) ([]byte, error) {
	if f < enveloped {
		return row, nil
	}
	return store.Unwrap(place, row)
}

type rowForm struct {
	Night  int32  `cbor:"1,keyasint"`
	Source string `cbor:"2,keyasint,omitempty"`
	At     int64  `cbor:"3,keyasint,omitempty"`
	Body   []byte `cbor:"4,keyasint,omitempty"`
}

func encodeRow(ref string, r store.Row) ([]byte, error) {
	return enclosed(rowForm{r.Night, r.Source, store.Micros(r.At), r.Body}, store.RowDiary, ref)
}

func (f form) decodeRow(ref string, rev int, b []byte) (store.Row, error) {
	var r rowForm
	err := f.read(b, &r, store.RowDiary, ref)
	return store.Row{Night: r.Night, Rev: rev, Source: r.Source, At: store.FromMicros(r.At), Body: r.Body}, err
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

func encodeRecord(ref string, r store.Record) ([]byte, error) {
	return enclosed(recordForm{r.Seq, store.Micros(r.At), r.Event, r.Actor, r.Role, r.Practice, r.Plan, r.Rules,
		r.What, r.Body, r.Hash[:]}, store.RowJournal, ref)
}

func (f form) decodeRecord(ref string, b []byte) (store.Record, error) {
	var c recordForm
	err := f.read(b, &c, store.RowJournal, ref)
	r := store.Record{Seq: c.Seq, At: store.FromMicros(c.At), Event: c.Event, Actor: c.Actor, Role: c.Role,
		Practice: c.Practice, Plan: c.Plan, Rules: c.Rules, What: c.What, Body: c.Body}
	copy(r.Hash[:], c.Hash)
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
	ref := t.Ref.String()
	return enclosed(timerForm{ref, t.Name, store.Micros(t.At), t.Wall, t.Zone, t.Basis, t.Body}, store.RowTimer, ref, t.Name)
}

// decodeTimer reads the timer of that name; what cannot be read has nothing more.
func (f form) decodeTimer(ref, name string, b []byte) (t store.Timer, err error) {
	t.Name = name
	if t.Ref, err = store.ParseRef(ref); err != nil {
		return t, err
	}
	var m timerForm
	if err := f.read(b, &m, store.RowTimer, ref, name); err != nil {
		return t, err
	}
	t.At, t.Wall, t.Zone, t.Basis, t.Body = store.FromMicros(m.At), m.Wall, m.Zone, m.Basis, m.Body
	return t, nil
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
	return enclosed(itemForm{it.ID, it.Ref.String(), it.Queue, int8(it.Lane), it.Key, it.Body, it.Lang, it.Plan,
		it.Advice,
		store.Micros(it.NotBefore), store.Micros(it.NotAfter), it.Once, store.Micros(it.Ordered)}, store.RowItem, it.ID)
}

// decodeItem reads an item of that id as it was ordered.
func (f form) decodeItem(id string, b []byte) (it store.Item, err error) {
	var m itemForm
	if err := f.read(b, &m, store.RowItem, id); err != nil {
		return it, err
	}
	it = store.Item{ID: m.ID, Queue: m.Queue, Lane: store.Lane(m.Lane), Key: m.Key, Body: m.Body, Lang: m.Lang,
		Plan: m.Plan, Advice: m.Advice,
		NotBefore: store.FromMicros(m.NotBefore), NotAfter: store.FromMicros(m.NotAfter), Once: m.Once,
		Ordered: store.FromMicros(m.Ordered)}
	it.Ref, err = store.ParseRef(m.Ref)
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
	ref := s.Ref.String()
	return enclosed(summaryForm{ref, s.Label, s.State, s.Class, s.Acked, store.Micros(s.Deadline),
		s.Answered, store.Micros(s.Review), s.Chat, s.Step}, store.RowSummary, ref)
}

func (f form) decodeSummary(ref string, b []byte) (s store.Summary, err error) {
	var m summaryForm
	if err := f.read(b, &m, store.RowSummary, ref); err != nil {
		return s, err
	}
	s = store.Summary{Label: m.Label, State: m.State, Class: m.Class, Acked: m.Acked,
		Deadline: store.FromMicros(m.Deadline),
		Answered: m.Answered, Review: store.FromMicros(m.Review), Chat: m.Chat, Step: m.Step}
	s.Ref, err = store.ParseRef(m.Ref)
	return s, err
}

func (f form) decodeAside(id string, b []byte) (store.Aside, error) {
	var m asideForm
	err := f.read(b, &m, store.RowAside, id)
	return store.Aside{ID: id, Class: m.Class, Raw: m.Raw, At: store.FromMicros(m.At)}, err
}

type asideForm struct {
	ID    string `cbor:"1,keyasint"`
	Class string `cbor:"2,keyasint"`
	Raw   []byte `cbor:"3,keyasint"`
	At    int64  `cbor:"4,keyasint"`
}
