package flows

import (
	"duskdawn/flows/chart"
)

// codeAlphabet is Crockford's base 32: no I, L, O or U, so a code can be read
// out and typed.
const codeAlphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// CodeLen is the length of every code: two characters that say where it
// belongs and twelve random ones, 60 bits. Together with five tries an hour a
// chat, and single use, guessing is hopeless.
const CodeLen = 14

// How codes begin: a patient's with the two digits of the shard, staff codes
// and the group's with a letter and a nought.
const (
	StaffHead = "S0"
	GroupHead = "G0"
)

// NewCode makes a code of random bytes behind a head of two characters. The
// bytes must be fresh: an id made of the same ones would give the code away.
func NewCode(head string, seed [16]byte) string {
	return head + base32(seed[:], CodeLen-2)
}

// NewPatientID makes a pseudonym of random bytes: the shard in two digits, then
// 80 bits.
func NewPatientID(seed [16]byte) chart.PatientID {
	shard := seed[15] & 63
	return chart.PatientID(string([]byte{'0' + shard/10, '0' + shard%10}) + base32(seed[:10], 16))
}

// NewNonce makes eight characters, 40 bits, from the end of the seed; n tells
// several of one event apart.
func NewNonce(seed [16]byte, n int) string {
	b := [5]byte(seed[11:])
	b[0] += byte(n)
	return base32(b[:], 8)
}

// base32 writes the first n times five bits.
func base32(b []byte, n int) string {
	out := make([]byte, n)
	for i := range out {
		bit := i * 5
		v := uint16(b[bit/8]) << 8
		if bit/8+1 < len(b) {
			v |= uint16(b[bit/8+1])
		}
		out[i] = codeAlphabet[v>>(11-bit%8)&31]
	}
	return string(out)
}
