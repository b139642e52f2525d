package store

import (
	"encoding/hex"
	"errors"
	"testing"
	"time"
)

// TestCanonical pins the form that hashes are taken over: a change of it would
// make every journal that was ever written look altered.
func TestCanonical(t *testing.T) {
	rs := []Record{
		{At: time.Date(2026, 3, 1, 20, 0, 0, 1000, time.UTC), Event: "e", Actor: "bot", Role: "r", Practice: 2, Plan: 3, Rules: 4, What: "advised", Body: []byte("five")},
		{What: "shown"},
	}
	Seal(0, [32]byte{}, rs)
	for i, want := range []string{"5ccdb2d575e59e74af3cb5b753444a83dbaf53e323a772af5deb884b4c808c8d",
		"273aa457e0ec763741706c967c57712b4829ac73dd0ae64f9ee091764b1fd439"} {
		if got := hex.EncodeToString(rs[i].Hash[:]); got != want {
			t.Errorf("hash %d is %s, want %s", i+1, got, want)
		}
	}
	if err := Verify(rs); err != nil {
		t.Error(err)
	}
	rs[0].Actor, rs[0].Role = "bo", "tr" // the same letters, cut elsewhere
	if err := Verify(rs); !errors.Is(err, ErrBroken) {
		t.Errorf("error %v, want %v", err, ErrBroken)
	}
}
