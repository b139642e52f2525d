package chat

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/desk"
	"duskdawn/flows/practice"

	"golang.org/x/crypto/argon2"
)

// A PIN is hashed here, at the door: behind it go only what it was and, for a new
// one, what it may be kept as. Six digits are few, so the hash is made slow and large
// by Argon2id (RFC 9106, doi 10.17487/RFC9106): 19 MiB, two passes, one lane.
const (
	pinMemory = 19 * 1024
	pinPasses = 2
	pinLanes  = 1
	pinDigits = 6
)

// provePIN takes a PIN out of what a person of the practice said: what the chat asks
// for, and what looks like one where nobody asks.
func provePIN(s *flows.Said, c *desk.Chat, pr *practice.Practice) {
	pin := strings.NewReplacer(" ", "", "-", "", "\u00a0", "").Replace(s.Text)
	with, asked := c.Proves(pr)
	switch {
	case asked && !strings.ContainsAny(s.Text, "0123456789"): // a word that steers the form, or looks at something beside it
		return
	case asked && !s.Edited && !sixDigits(pin):
		s.PIN = flows.PINWeak
	case asked && !s.Edited && with == "" && easy(pin):
		s.PIN = flows.PINWeak
	case asked && !s.Edited && with == "":
		s.PIN, s.Secret = flows.PINNew, hashPIN(pin, newSalt())
	case asked && !s.Edited && samePIN(pin, with):
		s.PIN = flows.PINRight
	case asked && !s.Edited:
		s.PIN = flows.PINWrong
	case sixDigits(pin) && pr.Signs(c.ID) && !c.Takes(pin):
		s.PIN = flows.PINStray
	case asked: // an edited one
		s.PIN = flows.PINStray
	default:
		return
	}
	s.Forget()
}

func sixDigits(s string) bool { return len(s) == pinDigits && strings.Trim(s, "0123456789") == "" }

// easy reports whether six digits are among the first that are tried: one digit again
// and again, two or three repeated, or a run up or down (NIST SP 800-63B, 5.1.1.2,
// doi 10.6028/NIST.SP.800-63b: repetitive or sequential characters).
func easy(pin string) bool {
	up, down := true, true
	for i := 1; i < len(pin); i++ {
		step := (int(pin[i]) - int(pin[i-1]) + 10) % 10
		up, down = up && step == 1, down && step == 9
	}
	return up || down || pin[:2] == pin[2:4] && pin[2:4] == pin[4:] || pin[:3] == pin[3:]
}

func newSalt() []byte {
	salt := make([]byte, 16)
	rand.Read(salt)
	return salt
}

// hashPIN gives what a PIN is kept as: the algorithm with its numbers, the salt, the hash.
func hashPIN(pin string, salt []byte) string {
	code := base64.RawStdEncoding.EncodeToString
	return fmt.Sprintf("argon2id$%d$%d$%d$%s$%s", pinMemory, pinPasses, pinLanes, code(salt),
		code(argon2.IDKey([]byte(pin), salt, pinPasses, pinMemory, pinLanes, 32)))
}

// samePIN reports whether a PIN is the one that is kept, by the numbers it was kept with.
func samePIN(pin, kept string) bool {
	part := strings.Split(kept, "$")
	if len(part) != 6 || part[0] != "argon2id" {
		return false
	}
	var memory, passes uint32
	var lanes uint8
	if _, err := fmt.Sscan(part[1]+" "+part[2]+" "+part[3], &memory, &passes, &lanes); err != nil || memory > 1<<20 ||
		passes < 1 || passes > 64 || lanes < 1 {
		return false
	}
	salt, err := base64.RawStdEncoding.DecodeString(part[4])
	if err != nil {
		return false
	}
	want, err := base64.RawStdEncoding.DecodeString(part[5])
	if err != nil || len(want) < 16 {
		return false
	}
	return subtle.ConstantTimeCompare(argon2.IDKey([]byte(pin), salt, passes, memory, lanes, uint32(len(want))), want) == 1
}
