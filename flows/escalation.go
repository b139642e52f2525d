package flows

import (
	"slices"
	"strconv"

	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Escalation is something a person must look at: raised, acknowledged by a
// named person, resolved with an outcome. Same patient, same reason, same day
// is one that grows; an E or S is never merged away.
type Escalation struct {
	N        int32         `cbor:"1,keyasint,omitempty"` // counts a patient's escalations
	Class    redflag.Class `cbor:"2,keyasint,omitempty"`
	Reason   string        `cbor:"3,keyasint,omitempty"` // a flag's id, a rule's id, or "silence", "call", "message", ...
	Raised   civil.Wall    `cbor:"4,keyasint,omitempty"` // at the practice
	RaisedAt int64         `cbor:"5,keyasint,omitempty"` // Unix seconds
	Deadline int64         `cbor:"6,keyasint,omitempty"` // Unix seconds; 0 for none
	Rings    int16         `cbor:"7,keyasint,omitempty"` // how often staff were told
	AckBy    string        `cbor:"8,keyasint,omitempty"` // staff id
	AckAt    int64         `cbor:"9,keyasint,omitempty"`
	Times    int16         `cbor:"10,keyasint,omitempty"`
	Quote    string        `cbor:"11,keyasint,omitempty"` // what was said, 200 runes at most, 600 of a message, the newest words last and whole
	Told     string        `cbor:"12,keyasint,omitempty"` // key of what the bot already told the patient
	Notes    int16         `cbor:"13,keyasint,omitempty"`
	Count    int16         `cbor:"14,keyasint,omitempty"` // merged occurrences
	Epoch    int32         `cbor:"15,keyasint,omitempty"` // the restore epoch in which it last rang anew: one of a copy does not ring before the release
	Via      int32         `cbor:"16,keyasint,omitempty"` // the message that tells it, by KeyTold and this number; 0 for none of its own
	Heard    bool          `cbor:"17,keyasint,omitempty"` // that message reached the patient's chat
	Unsure   bool          `cbor:"18,keyasint,omitempty"` // it is perhaps what was said: nothing of wear follows, and one tap of staff closes it
	Unread   bool          `cbor:"19,keyasint,omitempty"` // it has words that were not understood, until a person has read them or the safety question is answered; or it joined what a person had taken, until that person has read it
	Calls    int16         `cbor:"20,keyasint,omitempty"` // outside calls that were ordered since it rang anew
	CallAt   int64         `cbor:"21,keyasint,omitempty"` // Unix seconds: no outside call before
	Quiet    bool          `cbor:"22,keyasint,omitempty"` // it waits in the digest and has no card of its own yet
	Media    []Media       `cbor:"23,keyasint,omitempty"` // what came with it that is no text, the oldest first
	GrewAt   int64         `cbor:"24,keyasint,omitempty"` // Unix seconds when it was raised or last grew
	Words    Words         `cbor:"25,keyasint,omitempty"` // what the bot told the patient, as it was said; none in what an older program stored
	HadBy    string        `cbor:"26,keyasint,omitempty"` // staff id of who had taken it and has it no more, until somebody takes it anew
}

// perPatient is how many numbers of items belong to one patient; then they begin anew.
const perPatient = 1000

// Headline is the number that an item goes by at the practice, which no other
// patient's has: 12003 is the third of the patient with number 12.
func (p *Patient) Headline(n int32) int32 {
	if p.Number == 0 || n <= 0 {
		return n
	}
	return p.Number*perPatient + (n-1)%(perPatient-1) + 1
}

// NumberOf is the number of the patient that a headline's belongs to; 0 for none.
func NumberOf(headline int32) int32 { return headline / perPatient }

// askHeadline asks the practice for the patient's number, where it has none.
func (t *turn) askHeadline() {
	if t.p.Number == 0 {
		t.tell(Target{Practice: true}, Manage{Op: ManageNumber, Patient: t.p.ID})
	}
}

// ReasonKey is the message that names why something was raised: a rule, a flag, or one
// of the desk's own reasons.
func ReasonKey(reason string) string {
	if rule, ok := pacing.RuleNamed(reason); ok {
		return rule.Name
	}
	if redflag.Find(reason) != nil {
		return "flag." + reason + ".name"
	}
	return "desk.reason." + reason
}

// KeyTold begins the key of a message that tells what an escalation is about.
const KeyTold = "told."

// Undelivered reports whether what the bot had to tell about the item of that
// number is still on its way to the patient's chat.
func (p *Patient) Undelivered(number string) bool {
	if p.Chat == 0 || p.Bounced {
		return false
	}
	for i := range p.Escalations {
		if x := &p.Escalations[i]; strconv.Itoa(int(x.N)) == number {
			return slices.ContainsFunc(p.Item(x), func(i int) bool {
				y := &p.Escalations[i]
				return y.Via != 0 && !y.Heard
			})
		}
	}
	return false
}

// delivered notes that a message which tells what escalations are about reached
// the patient's chat. Until it does, no card says that the patient was told.
func (t *turn) delivered(d Delivered) {
	t.callMade(d.Key)
	t.cardShown(d)
	for i := range t.p.Escalations {
		if x := &t.p.Escalations[i]; x.Via != 0 && d.Key == toldKey(x.Via) {
			x.Heard = true
		}
	}
}

func toldKey(n int32) string { return KeyTold + strconv.Itoa(int(n)) }

// tells notes what the patient is told about an escalation in this turn.
func (t *turn) tells(esc *Escalation, key string) {
	if t.via == 0 {
		t.via = esc.N
	}
	t.tellsWith(esc, key, t.via)
}

// tellsWith is the same where that message is known; 0 for the evening's advice.
func (t *turn) tellsWith(esc *Escalation, key string, via int32) {
	if !slices.ContainsFunc(t.told, func(x saidBefore) bool { return x.n == esc.N }) {
		t.told = append(t.told, saidBefore{esc.N, esc.Told, esc.Via, esc.Heard, esc.Words})
	}
	esc.Told, esc.Via, esc.Heard = key, via, false
}

// Deadline is how many minutes the practice gives itself to look at an urgent
// class: its own setting, else the usual.
func Deadline(pr *practice.Practice, class redflag.Class) int {
	switch {
	case class == redflag.ClassE && pr.MinutesE > 0:
		return int(pr.MinutesE)
	case class == redflag.ClassE:
		return practice.UsualE
	case pr.MinutesS > 0:
		return int(pr.MinutesS)
	}
	return practice.UsualS
}
