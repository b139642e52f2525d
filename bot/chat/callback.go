package chat

import (
	"errors"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
)

// dataVersion is the first byte of a button's data; buttons sent by an older
// program still work as long as its version is read here.
const dataVersion = "1"

// maxData is the platform's limit of a button's data, in bytes.
const maxData = 64

var errData = errors.New("chat: button data not ours")

// encodeData packs a button. It holds no health word: an op, an argument, a
// nonce, and the random pseudonym of the card's patient. Who may press it is
// checked by the person who does, never by the data.
func encodeData(b message.Button) (string, error) {
	for _, f := range []string{b.Op, b.Arg, b.Nonce, string(b.Patient)} {
		if strings.Contains(f, "|") {
			return "", errData
		}
	}
	s := strings.Join([]string{dataVersion, b.Op, b.Arg, b.Nonce, string(b.Patient)}, "|")
	if b.Op == "" || len(s) > maxData {
		return "", errData
	}
	return s, nil
}

// decodeData unpacks it. Anything may arrive here: the platform says that a tap
// can carry data that no button of ours had.
func decodeData(s string) (message.Button, error) {
	p := strings.Split(s, "|")
	if len(s) > maxData || len(p) != 5 || p[0] != dataVersion || p[1] == "" || len(p[1]) > 8 || len(p[2]) > 16 ||
		len(p[3]) > 8 || len(p[4]) > 24 {
		return message.Button{}, errData
	}
	return message.Button{Op: p[1], Arg: p[2], Nonce: p[3], Patient: chart.PatientID(p[4])}, nil
}
