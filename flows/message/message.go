package message

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// Message is what a person is to see: keys and values, never text. Package
// locales turns it into words in the reader's language, late.
type Message struct {
	Lines   []Line          `cbor:"1,keyasint,omitempty"`  // paragraphs, in order
	Choices [][]Choice      `cbor:"2,keyasint,omitempty"`  // rows of quick answers; they arrive as messages
	Inline  [][]Button      `cbor:"3,keyasint,omitempty"`  // rows of buttons under the message; they arrive as taps
	View    View            `cbor:"4,keyasint,omitempty"`  // rendered from the patient as it stands when sent
	Subject chart.PatientID `cbor:"5,keyasint,omitempty"`  // whose view
	Media   string          `cbor:"6,keyasint,omitempty"`  // "qr", "howto.<topic>", "diary.csv", "course.plain": made when sent; "leave": leave this group, nothing is shown
	MediaOf string          `cbor:"7,keyasint,omitempty"`  // what the media shows, e.g. the link's payload
	Plain   bool            `cbor:"8,keyasint,omitempty"`  // take the quick-answer keyboard away
	Silent  bool            `cbor:"9,keyasint,omitempty"`  // no sound
	Edit    int64           `cbor:"10,keyasint,omitempty"` // the message of this chat that becomes this one, by the platform's number; 0: a new one
}

// Line is one paragraph: a key of the catalogue and its values.
type Line struct {
	Key  string `cbor:"1,keyasint,omitempty"`
	Args []Arg  `cbor:"2,keyasint,omitempty"`
}

// ArgKind says how a value is written in the reader's language.
type ArgKind uint8

// The kinds.
const (
	ArgNumber  ArgKind = iota // N
	ArgText                   // S as it is, isolated against direction marks; free text of a person
	ArgKey                    // S is a key of the catalogue, put into words first
	ArgDate                   // N is a Date: "Tue 3 Nov"
	ArgClock                  // N is a Clock: "21:30"
	ArgMM                     // N is micrometres: "4.25 mm"
	ArgPercent                // N is tenths of a per cent: "53.1 %"
	ArgTenths                 // N is tenths: "12.5"
	ArgMinutes                // N is minutes: "7 h 30 min"
	ArgList                   // S is keys joined by "|", written as a list
)

// Arg is one named value of a line. The one named "count" chooses the plural form.
type Arg struct {
	Name string  `cbor:"1,keyasint,omitempty"`
	Kind ArgKind `cbor:"2,keyasint,omitempty"`
	N    int64   `cbor:"3,keyasint,omitempty"`
	S    string  `cbor:"4,keyasint,omitempty"`
}

// Choice is one quick answer: either a field's value, or a control word. Its
// label is a fragment of the one-line day that names its question, so that a
// late or double press still goes to its own field.
type Choice struct {
	Field chart.Field   `cbor:"1,keyasint,omitempty"`
	Value chart.Answer  `cbor:"2,keyasint,omitempty"`
	Word  reading.Word  `cbor:"3,keyasint,omitempty"`
	Topic reading.Topic `cbor:"4,keyasint,omitempty"`
	N     int32         `cbor:"5,keyasint,omitempty"` // the setting that WordStands and WordStill name
	// What the same button says besides: a whole quiet morning in one.
	Guide chart.Answer `cbor:"6,keyasint,omitempty"`
	Bite  chart.Answer `cbor:"7,keyasint,omitempty"`
}

// Button is one inline button. It arrives as a Tap with the same Op, Arg and
// Nonce; who may press it is checked then, by the person, never by the data.
type Button struct {
	Label   Line            `cbor:"1,keyasint,omitempty"`
	Op      string          `cbor:"2,keyasint,omitempty"` // at most 8 bytes
	Arg     string          `cbor:"3,keyasint,omitempty"` // at most 16 bytes
	Nonce   string          `cbor:"4,keyasint,omitempty"` // at most 8 bytes
	Patient chart.PatientID `cbor:"5,keyasint,omitempty"` // goes to this patient's flow; empty: to the chat's own
}

// View is something rendered from what is stored when the message is sent.
type View uint8

// The views.
const (
	NoView         View = iota
	ViewCard            // a patient's card for a caller
	ViewQueue           // open escalations
	ViewFind            // patients by the practice's label; MediaOf holds the label asked for
	ViewList            // all patients, by state; MediaOf holds the page
	ViewDiary           // a patient's last nights
	ViewPlan            // a patient's plan and limits
	ViewEscalation      // one escalation; MediaOf holds its number
	ViewOutcomes        // a patient's outcomes, of the nights remembered
	ViewEstimate        // what the nights remembered say, for a clinician
	ViewDigest          // the morning's digest or one list of it; MediaOf holds its word, page, day and second
	ViewCourse          // a patient's course, beside its picture
)

// Num makes a number argument; the other helpers likewise.
func ArgN(name string, n int) Arg                 { return Arg{Name: name, N: int64(n)} }
func ArgS(name, text string) Arg                  { return Arg{Name: name, Kind: ArgText, S: text} }
func ArgK(name, key string) Arg                   { return Arg{Name: name, Kind: ArgKey, S: key} }
func ArgD(name string, d civil.Date) Arg          { return Arg{Name: name, Kind: ArgDate, N: int64(d)} }
func ArgC(name string, c civil.Clock) Arg         { return Arg{Name: name, Kind: ArgClock, N: int64(c)} }
func ArgUM(name string, um chart.Micrometres) Arg { return Arg{Name: name, Kind: ArgMM, N: int64(um)} }
func ArgP(name string, tenths int) Arg            { return Arg{Name: name, Kind: ArgPercent, N: int64(tenths)} }

// Say makes a line.
func Say(key string, args ...Arg) Line { return Line{Key: key, Args: args} }
