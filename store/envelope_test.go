package store

import (
	"bytes"
	"errors"
	"hash/crc32"
	"testing"
)

// The checksum is CRC-32C: its check value is that of RFC 3720, appendix B.4, of 32
// zero bytes (from memory), and the usual one of the digits 1 to 9.
func TestCastagnoli(t *testing.T) {
	if got := crc32.Checksum(make([]byte, 32), castagnoli); got != 0x8a9136aa {
		t.Errorf("%08x of 32 zero bytes", got)
	}
	if got := crc32.Checksum([]byte("123456789"), castagnoli); got != 0xe3069283 {
		t.Errorf("%08x of the digits", got)
	}
}

// Each bit of an envelope counts, and so does its place.
func TestEnvelope(t *testing.T) {
	place, body := Place(RowBody, "P07ann", int64(3)), []byte("\x10what is kept")
	row := Wrap(place, body)
	if got, err := Unwrap(place, row); err != nil || !bytes.Equal(got, body) {
		t.Fatalf("%q, %v", got, err)
	}
	for bit := range len(row) * 8 {
		flipped := bytes.Clone(row)
		flipped[bit/8] ^= 1 << (bit % 8)
		if _, err := Unwrap(place, flipped); !errors.Is(err, ErrCorrupt) {
			t.Errorf("bit %d: %v", bit, err)
		}
		for other := range bit {
			flipped[other/8] ^= 1 << (other % 8)
			if _, err := Unwrap(place, flipped); !errors.Is(err, ErrCorrupt) {
				t.Errorf("bits %d and %d: %v", other, bit, err)
			}
			flipped[other/8] ^= 1 << (other % 8)
		}
	}
	for n := range row {
		if _, err := Unwrap(place, row[:n]); !errors.Is(err, ErrCorrupt) {
			t.Errorf("cut to %d bytes: %v", n, err)
		}
	}
	for _, other := range [][]byte{nil, Place(RowBody, "P07ann", int64(4)), Place(RowBody, "P07ben", int64(3)),
		Place(RowDiary, "P07ann", int64(3)), Place(RowBody, "P07ann")} {
		if _, err := Unwrap(other, row); !errors.Is(err, ErrCorrupt) {
			t.Errorf("at %q: %v", other, err)
		}
	}
	if got, err := Unwrap(place, Wrap(place, nil)); err != nil || got != nil {
		t.Errorf("an empty body is %q, %v", got, err)
	}
}

// A row that is whole, in a codec, a compression or under a key that comes later,
// is of a newer program, and not damaged.
func TestEnvelopeOfALaterProgram(t *testing.T) {
	place := Place(RowBody, "P07ann", int64(3))
	for _, at := range []int{coveredAt, coveredAt + 1} {
		row := Wrap(place, []byte("\x10what is kept"))
		row[at] = 0x01
		later := sum(place, row)
		row[1], row[2], row[3], row[4] = byte(later>>24), byte(later>>16), byte(later>>8), byte(later)
		if _, err := Unwrap(place, row); !errors.Is(err, ErrNewer) || errors.Is(err, ErrCorrupt) {
			t.Errorf("byte %d: %v", at, err)
		}
	}
}

// FuzzUnwrap takes anything for a row at any place: a row is what Wrap makes of its
// body at that place, or no row.
func FuzzUnwrap(f *testing.F) {
	place := Place(RowItem, "07x", int64(1))
	f.Add(place, Wrap(place, []byte("\x10body")))
	f.Add([]byte{}, Wrap(nil, nil))
	f.Add(place, []byte{envelopeForm})
	f.Fuzz(func(t *testing.T, place, row []byte) {
		body, err := Unwrap(place, row)
		switch {
		case err == nil && !bytes.Equal(Wrap(place, body), row):
			t.Errorf("%x at %x is read as %x", row, place, body)
		case err != nil && !errors.Is(err, ErrCorrupt) && !errors.Is(err, ErrNewer):
			t.Error(err)
		}
		if got, err := Unwrap(place, Wrap(place, row)); err != nil || !bytes.Equal(got, row) {
			t.Errorf("%x wrapped is read as %x, %v", row, got, err)
		}
	})
}
