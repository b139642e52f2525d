package store

import (
	"bytes"
	"fmt"
	"reflect"
	"sync"

	"duskdawn/flows"
	"duskdawn/flows/chart"

	"github.com/fxamacker/cbor/v2"
)

// The first byte of a body: the high half names the codec. The low half was meant
// for a key, and stays 0: keys, compression and checksum are the envelope's, in
// which every store keeps it (envelope.go).
const (
	codecCBOR byte = 0x10
	keyNone   byte = 0x00
)

// modes are the encoder and decoder, made once: canonical output, so that the
// same value always gives the same bytes and the journal's chain can be checked.
var modes = sync.OnceValues(func() (cbor.EncMode, cbor.DecMode) {
	enc, err := cbor.EncOptions{Sort: cbor.SortCanonical, Time: cbor.TimeUnixMicro, TimeTag: cbor.EncTagNone}.EncMode()
	if err != nil {
		panic(err) // unreachable: the options are constants
	}
	dec, err := cbor.DecOptions{MaxArrayElements: 1 << 16, MaxMapPairs: 1 << 16}.DecMode()
	if err != nil {
		panic(err) // unreachable: the options are constants
	}
	return enc, dec
})

// Encode gives the stored form of any value whose fields carry integer keys.
// A field may be added under a new key at any time; a key is never used again.
func Encode(v any) ([]byte, error) {
	enc, _ := modes()
	var b bytes.Buffer
	b.WriteByte(codecCBOR | keyNone)
	if err := enc.NewEncoder(&b).Encode(v); err != nil {
		return nil, fmt.Errorf("encoding a stored body: %w", err)
	}
	return b.Bytes(), nil
}

// Decode reads what Encode wrote; ErrNewer for a codec or key that this
// program does not know, ErrCorrupt for what it cannot read.
func Decode(body []byte, v any) error {
	if len(body) == 0 {
		return fmt.Errorf("decoding a stored body: it is empty: %w", ErrCorrupt)
	}
	if body[0] != codecCBOR|keyNone {
		return fmt.Errorf("decoding a stored body with head byte %#x: %w", body[0], ErrNewer)
	}
	_, dec := modes()
	if err := dec.Unmarshal(body[1:], v); err != nil {
		return fmt.Errorf("decoding a stored body: %w: %w", ErrCorrupt, err)
	}
	return nil
}

// patientForm is a patient as stored: the nights as a list of those there are.
type patientForm struct {
	Patient *flows.Patient `cbor:"1,keyasint"`
	Nights  []chart.Entry  `cbor:"2,keyasint,omitempty"`
}

// EncodePatient gives a patient's stored form.
func EncodePatient(p *flows.Patient) ([]byte, error) {
	n := min(int(p.Course.N), len(p.Course.Nights))
	return Encode(patientForm{Patient: p, Nights: p.Course.Nights[:n]})
}

// DecodePatient reads it back; an empty body is the zero Patient.
func DecodePatient(body []byte) (p flows.Patient, err error) {
	if len(body) == 0 {
		return p, nil
	}
	f := patientForm{Patient: &p}
	if err := Decode(body, &f); err != nil {
		return flows.Patient{}, fmt.Errorf("a patient: %w", err)
	}
	p.Course.N = uint8(copy(p.Course.Nights[:], f.Nights))
	return p, nil
}

// eventForm is an event as stored in a timer, an outbox item or the journal.
type eventForm struct {
	Kind string          `cbor:"1,keyasint"`
	Body cbor.RawMessage `cbor:"2,keyasint"`
}

// body is an event body's type and how it is read.
type body struct {
	is   reflect.Type
	read func([]byte) (flows.Body, error)
}

// bodies maps the stored name of each event body to it. A name is never used
// again for another shape.
var bodies = map[string]body{
	"enrol":       of[flows.Enrol](),
	"join":        of[flows.Join](),
	"said":        of[flows.Said](),
	"tap":         of[flows.Tap](),
	"other":       of[flows.Other](),
	"due":         of[flows.Due](),
	"order":       of[flows.Order](),
	"bounce":      of[flows.Bounce](),
	"reached":     of[flows.Reached](),
	"numbered":    of[flows.Numbered](),
	"missed":      of[flows.Missed](),
	"delivered":   of[flows.Delivered](),
	"gap":         of[flows.Gap](),
	"restored":    of[flows.Restored](),
	"bound":       of[flows.Bound](),
	"nosuchcode":  of[flows.NoSuchCode](),
	"labeltaken":  of[flows.LabelTaken](),
	"staffjoin":   of[flows.StaffJoin](),
	"staffbound":  of[flows.StaffBound](),
	"groupmoved":  of[flows.GroupMoved](),
	"brief":       of[flows.Brief](),
	"draft":       of[flows.Draft](),
	"settings":    of[flows.Settings](),
	"staffchange": of[flows.StaffChange](),
	"manage":      of[flows.Manage](),
}

// kinds maps the type of each event body to its stored name.
var kinds = sync.OnceValue(func() map[reflect.Type]string {
	out := make(map[reflect.Type]string, len(bodies))
	for name, row := range bodies {
		out[row.is] = name
	}
	return out
})

// KindOf names an event body, for the stored form and the journal; "" for one
// that is not stored.
func KindOf(b flows.Body) string { return kinds()[reflect.TypeOf(b)] }

// EncodeBody gives an event body's stored form.
func EncodeBody(b flows.Body) ([]byte, error) {
	kind := KindOf(b)
	if kind == "" {
		return nil, fmt.Errorf("encoding an event: no stored name for %T", b)
	}
	enc, _ := modes()
	raw, err := enc.Marshal(b)
	if err != nil {
		return nil, fmt.Errorf("encoding an event: %w", err)
	}
	return Encode(eventForm{kind, raw})
}

// DecodeBody reads an event body back; ErrNewer for a kind this program does not know.
func DecodeBody(stored []byte) (flows.Body, error) {
	var f eventForm
	if err := Decode(stored, &f); err != nil {
		return nil, err
	}
	b, ok := bodies[f.Kind]
	if !ok {
		return nil, fmt.Errorf("decoding an event %q: %w", f.Kind, ErrNewer)
	}
	return b.read(f.Body)
}

func of[T flows.Body]() body { return body{reflect.TypeFor[T](), read[T]} }

func read[T flows.Body](raw []byte) (flows.Body, error) {
	_, dec := modes()
	var b T
	if err := dec.Unmarshal(raw, &b); err != nil {
		return nil, fmt.Errorf("decoding an event: %w", err)
	}
	return b, nil
}
