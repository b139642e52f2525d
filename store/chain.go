package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
)

// WhatShown is the What of the record that keeps the text a person was shown.
const WhatShown = "shown"

// canonical is the one byte form of a record that its hash is taken over. Each
// field is written behind its length, so that no two records share a form. It
// must never change: a field that is added later is written only where it is set.
func (r Record) canonical() []byte {
	b := make([]byte, 0, 128+len(r.Body))
	number := func(n int64) { b = binary.BigEndian.AppendUint64(b, uint64(n)) }
	text := func(s string) {
		b = binary.BigEndian.AppendUint32(b, uint32(len(s)))
		b = append(b, s...)
	}
	number(r.Seq)
	number(Micros(r.At))
	text(r.Event)
	text(r.Actor)
	text(r.Role)
	number(r.Practice)
	number(int64(r.Plan))
	number(int64(r.Rules))
	text(r.What)
	text(string(r.Body))
	return b
}

// chained is the hash of a record behind a previous one.
func (r Record) chained(prev [32]byte) [32]byte {
	h := sha256.New()
	h.Write(prev[:])
	h.Write(r.canonical())
	return [32]byte(h.Sum(nil))
}

// Seal gives records that follow the one with that sequence and hash theirs,
// in place. A journal begins behind sequence 0 and the zero hash.
func Seal(seq int64, hash [32]byte, rs []Record) {
	for i := range rs {
		seq++
		rs[i].Seq = seq
		rs[i].Hash = rs[i].chained(hash)
		hash = rs[i].Hash
	}
}

// Verify reports whether records are a whole journal from its first record on, in
// order and unaltered; ErrBroken names the first sequence that does not fit.
// Records cut off at the end cannot be seen from the rest.
func Verify(rs []Record) error {
	var c Chain
	for _, r := range rs {
		if err := c.Next(r); err != nil {
			return err
		}
	}
	return nil
}

// Chain is Verify for records that come one by one, from the first on.
type Chain struct {
	seq  int64
	hash [32]byte
}

// Next takes the record that follows.
func (c *Chain) Next(r Record) error {
	want := r.chained(c.hash)
	if c.seq++; r.Seq != c.seq || !bytes.Equal(want[:], r.Hash[:]) {
		return fmt.Errorf("checking record %d: %w", c.seq, ErrBroken)
	}
	c.hash = r.Hash
	return nil
}

// Shown is the record of the text that a person was shown, by the item that brought it.
func (it Item) Shown(s Settlement) Record {
	return Record{At: kept(s.At), Event: it.ID, Actor: "bot", Plan: it.Plan, What: WhatShown, Body: bytes.Clone(s.Text)}
}
