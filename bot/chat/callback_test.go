package chat

import (
	"testing"

	"duskdawn/flows/message"
)

func TestDataRoundTrip(t *testing.T) {
	b := message.Button{Op: "release", Arg: "1234567890123456", Nonce: "ABCDEFGH", Patient: "07ABCDEFGHJKMNPQRS"}
	s, err := encodeData(b)
	if err != nil {
		t.Fatal(err)
	}
	if len(s) > maxData {
		t.Fatalf("%d bytes", len(s))
	}
	if got, err := decodeData(s); err != nil || got.Op != b.Op || got.Arg != b.Arg || got.Nonce != b.Nonce ||
		got.Patient != b.Patient {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestDataRefused(t *testing.T) {
	for _, b := range []message.Button{{}, {Op: "a|b"}, {Op: "x", Arg: string(make([]byte, 70))}} {
		if s, err := encodeData(b); err == nil {
			t.Errorf("%+v was packed as %q", b, s)
		}
	}
	for _, s := range []string{"", "1", "2|ack|1||", "1||1||", "1|ack|1|", "1|toolongop|1||", "1|ack|1||" +
		string(make([]byte, 80))} {
		if b, err := decodeData(s); err == nil {
			t.Errorf("%q was read as %+v", s, b)
		}
	}
}

func FuzzData(f *testing.F) {
	f.Add("1|ack|12|ABCDEFGH|07ABCDEFGHJKMNPQRS")
	f.Fuzz(func(t *testing.T, s string) {
		b, err := decodeData(s)
		if err != nil {
			return
		}
		if got, err := encodeData(b); err != nil || got != s {
			t.Errorf("%q came back as %q, %v", s, got, err)
		}
	})
}
