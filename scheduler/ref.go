package scheduler

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"strconv"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/store"
)

// crockford is the alphabet of ids and codes: no I, L, O or U.
var crockford = base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").WithPadding(base32.NoPadding)

// PracticeRef is the one practice.
func PracticeRef() store.Ref { return store.Ref{Kind: store.Practice, ID: "00practice"} }

// PatientRef names a patient.
func PatientRef(id chart.PatientID) store.Ref { return store.Ref{Kind: store.Patient, ID: string(id)} }

// ChatRef names a chat; its shard follows from its number.
func ChatRef(chat int64) store.Ref {
	s := strconv.FormatInt(chat, 10)
	h := fnv.New32a()
	h.Write([]byte(s))
	return store.Ref{Kind: store.Chat, ID: fmt.Sprintf("%02d:%s", h.Sum32()%store.Shards, s)}
}

// keyed hashes a value that index columns may hold, so that a copy of the
// store tells nobody a label or a code. The key is the store's own.
func keyed(secret []byte, kind, value string) string {
	m := hmac.New(sha256.New, secret)
	m.Write([]byte(kind))
	m.Write([]byte{0})
	m.Write([]byte(value))
	return crockford.EncodeToString(m.Sum(nil)[:20])
}

// codeKey is the index key of a patient's enrolment code: it begins with the
// shard that the code begins with, the patient's own.
func codeKey(secret []byte, code string) string {
	if len(code) < 2 {
		return "00code:" + keyed(secret, "code", code)
	}
	return fmt.Sprintf("%02d", store.ShardOf(code)) + "code:" + keyed(secret, "code", code)
}

// itemID derives an outbox item's id from its event and position. Behind the
// shard it begins with the time, in milliseconds, so that an index over ids grows at its end.
func itemID(ref store.Ref, event string, at time.Time, n int) string {
	var id [15]byte
	ms := uint64(at.UnixMilli())
	binary.BigEndian.PutUint16(id[:], uint16(ms>>32))
	binary.BigEndian.PutUint32(id[2:], uint32(ms))
	sum := sha256.Sum256([]byte(ref.String() + "\x00" + event))
	copy(id[6:], sum[:])
	return fmt.Sprintf("%02d%s-%d", ref.Shard(), crockford.EncodeToString(id[:]), n)
}
