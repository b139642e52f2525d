package store

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"strings"
)

// Every stored row's body lies in one envelope, the same in every store: a byte
// for the envelope's own form, a checksum of four, and then what the checksum
// covers: codec and compression in a byte, the key's number, and the body.
//
//	form | CRC-32C | codec, compression | key | body
//
// Codec 0 is a body as it was given, which says by its first byte how to read it;
// compression 0 and key 0 are none. Others can come without another migration: a
// row of one that this program does not know is whole, and ErrNewer.
//
// The checksum also covers the row's place: what stands beside the body and
// belongs to it, such as whose it is and of which night. So a body under another
// name, or a night that became another one, is seen as well, and a cipher that
// comes later has what it is to authenticate beside the body.
//
// CRC-32C finds every flip of one bit, of two, of three, and every burst of up to
// 32 bits, in rows of any length that is stored here; by chance it misses one in
// four thousand million. The processor works it out faster than memory is read,
// at a fiftieth of the cost of a cryptographic hash, which would add nothing:
// who can write rows can write sums, and what people did is chained (Seal).
const (
	envelopeForm byte = 0xE1
	plainBody    byte = 0x00 // codec in the high half, compression in the low
	noKey        byte = 0

	sumAt      = 1
	coveredAt  = sumAt + 4
	bodyBehind = coveredAt + 2 // with a key below 128
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// The kinds of row, as places and names begin.
const (
	RowBody    = "body"
	RowDiary   = "diary"
	RowJournal = "journal"
	RowTimer   = "timer"
	RowItem    = "item"
	RowAside   = "aside"
	RowSummary = "summary"
	RowSecret  = "secret"
	RowFlood   = "flood"
)

// Place is what stands beside a row's body and belongs to it: its kind, and
// texts and numbers (string and int64, nothing else) in an order that is the kind's own.
func Place(kind string, parts ...any) []byte {
	b := make([]byte, 0, 96)
	text := func(s string) {
		b = binary.BigEndian.AppendUint32(b, uint32(len(s)))
		b = append(b, s...)
	}
	text(kind)
	for _, p := range parts {
		switch p := p.(type) {
		case string:
			text(p)
		case int64:
			b = binary.BigEndian.AppendUint64(b, uint64(p))
		default:
			panic(fmt.Sprintf("a place has no part of type %T", p))
		}
	}
	return b
}

// Wrap puts a body into its envelope, bound to its place.
func Wrap(place, body []byte) []byte {
	row := make([]byte, bodyBehind+len(body))
	row[0], row[coveredAt], row[coveredAt+1] = envelopeForm, plainBody, noKey
	copy(row[bodyBehind:], body)
	binary.BigEndian.PutUint32(row[sumAt:], sum(place, row))
	return row
}

// Unwrap gives the body in an envelope, nil for one that is empty; ErrCorrupt
// where the row is not what was stored at that place, ErrNewer where it is and
// this program cannot read it. What it gives shares the row's memory.
func Unwrap(place, row []byte) ([]byte, error) {
	if len(row) < bodyBehind || row[0] != envelopeForm {
		return nil, fmt.Errorf("a row without its envelope: %w", ErrCorrupt)
	}
	if binary.BigEndian.Uint32(row[sumAt:]) != sum(place, row) {
		return nil, fmt.Errorf("a row that is not as it was stored: %w", ErrCorrupt)
	}
	if row[coveredAt] != plainBody || row[coveredAt+1] != noKey {
		return nil, fmt.Errorf("a row of codec and compression %#02x, key %d: %w", row[coveredAt], row[coveredAt+1], ErrNewer)
	}
	if len(row) == bodyBehind {
		return nil, nil
	}
	return row[bodyBehind:], nil
}

// sum is the checksum of a row at its place; the form is covered too.
func sum(place, row []byte) uint32 {
	c := crc32.Update(0, castagnoli, place)
	c = crc32.Update(c, castagnoli, row[:sumAt])
	return crc32.Update(c, castagnoli, row[coveredAt:])
}

// RowName is what Damaged calls a row.
func RowName(kind string, parts ...any) string {
	return strings.TrimSuffix(fmt.Sprintln(append([]any{kind}, parts...)...), "\n")
}

// BodyPlace is where an aggregate's body stands.
func BodyPlace(ref string, rev int64) []byte { return Place(RowBody, ref, rev) }

// Place is where a diary row of that aggregate stands. Its revision is given while
// it is written, and two columns of the row's key hold it.
func (r Row) Place(ref string) []byte {
	return Place(RowDiary, ref, int64(r.Night), r.Source, Micros(r.At))
}

// Place is where a record of that aggregate's journal stands; the rest of it is
// covered by the journal's chain.
func (r Record) Place(ref string) []byte { return Place(RowJournal, ref, r.Seq) }

// Place is where a timer stands.
func (t Timer) Place() []byte {
	return Place(RowTimer, t.Ref.String(), t.Name, Micros(t.At), t.Wall, t.Zone, t.Basis)
}

// Place is where an item stands, as it was ordered.
func (it Item) Place() []byte {
	once := int64(0)
	if it.Once {
		once = 1
	}
	return Place(RowItem, it.ID, it.Ref.String(), it.Queue, int64(it.Lane), it.Key, it.Lang, int64(it.Plan),
		int64(it.Advice), Micros(it.NotAfter), once, Micros(it.Ordered))
}

// Place is where an update that was set aside stands.
func (a Aside) Place() []byte { return Place(RowAside, a.ID, a.Class, Micros(a.At)) }
