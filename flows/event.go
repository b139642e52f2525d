package flows

import (
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// Event is something that happened to an aggregate. Its time is a value: the
// core has no clock.
type Event struct {
	ID     string     // never handled twice
	At     time.Time  // the instant, for the record
	Wall   civil.Wall // date and clock where the patient is
	Office civil.Wall // date and clock at the practice
	Seed   [16]byte   // fresh random bytes for new ids, codes and nonces; part of the event, so a second run gives the same
	Doubt  bool       // the clock is in doubt: no advice
	Body   Body
}

// Body is what happened: one of the types below.
type Body interface{ body() }

// Enrol makes a patient: the clinician's signed enrolment.
type Enrol struct {
	Enrolment chart.Enrolment `cbor:"1,keyasint,omitempty"`
	Actor     Actor           `cbor:"2,keyasint,omitempty"`
	Code      string          `cbor:"3,keyasint,omitempty"` // the enrolment code to own
	Chat      int64           `cbor:"4,keyasint,omitempty"` // where to answer
	Link      int64           `cbor:"5,keyasint,omitempty"` // the chat of who filled it in, to which the link goes; 0: with the answer
	Host      bool            `cbor:"6,keyasint,omitempty"` // by the host's command: it shows the link, and the clinician is told what was signed
}

// Join says that a chat gave this patient's code.
type Join struct {
	Chat int64  `cbor:"1,keyasint,omitempty"`
	Code string `cbor:"2,keyasint,omitempty"`
	Lang string `cbor:"3,keyasint,omitempty"`
	Gen  int32  `cbor:"4,keyasint,omitempty"` // the chat's generation of binding
}

// Said is a text of the bound chat, read.
type Said struct {
	Chat    int64           `cbor:"1,keyasint,omitempty"`
	Gen     int32           `cbor:"2,keyasint,omitempty"`
	Reading reading.Reading `cbor:"3,keyasint,omitempty"`
	Text    string          `cbor:"4,keyasint,omitempty"` // as typed, cut at 1,000 runes, direction marks taken out
	Sent    time.Time       `cbor:"5,keyasint,omitempty"` // by the platform's clock
	Wall    civil.Wall      `cbor:"6,keyasint,omitempty"` // the same where the patient is
	ReplyTo int64           `cbor:"7,keyasint,omitempty"` // message id it replies to
	Edited  bool            `cbor:"8,keyasint,omitempty"`
	Message int64           `cbor:"9,keyasint,omitempty"`
	// What the desk needs besides, for chats that are not a patient's.
	User     int64        `cbor:"10,keyasint,omitempty"` // who said it; in a private chat the same as Chat
	From     Sender       `cbor:"11,keyasint,omitempty"`
	AppLang  string       `cbor:"12,keyasint,omitempty"` // the language of the sender's app, "es"
	CodeHash string       `cbor:"13,keyasint,omitempty"` // keyed hash of Reading.Code
	Zones    []string     `cbor:"14,keyasint,omitempty"` // time zones that the text names, by name or city, or whose clock shows the time it gives; the likeliest first, at most 8
	Media    string       `cbor:"16,keyasint,omitempty"` // what the text is the caption of: "photo", "video", ...; empty for a plain text
	Pairs    []enrol.Pair `cbor:"15,keyasint,omitempty"` // the text as lines of a form, words already canonical
	List     string       `cbor:"17,keyasint,omitempty"` // the list of patients, or the digest, that the text names
	Taken    string       `cbor:"18,keyasint,omitempty"` // the label that the text gives, where another patient goes by it
	Find     string       `cbor:"20,keyasint,omitempty"` // what the text looks for, behind a word that says so
	Nights   []NightSaid  `cbor:"21,keyasint,omitempty"` // the text as answers of one or several nights, a line each
	PIN      PIN          `cbor:"31,keyasint,omitempty"` // what the text was as a PIN; then the text itself is nowhere here
	Secret   string       `cbor:"32,keyasint,omitempty"` // with PINNew: what it may be kept as; no journal has it (Kept)
	NoPhone  string       `cbor:"19,keyasint,omitempty"` // the telephone that the text gives, where no number of the practice's country could be it
	// Codes by which patients join that stand among other words; as Reading.Code is written.
	Among     []string `cbor:"22,keyasint,omitempty"`
	Forwarded bool     `cbor:"23,keyasint,omitempty"` // somebody, perhaps another person, wrote it elsewhere
}

// NightSaid is what one line of a text says of one night.
type NightSaid struct {
	Night   civil.Date      `cbor:"1,keyasint,omitempty"` // 0 where the line names none
	Line    int16           `cbor:"2,keyasint,omitempty"`
	Reading reading.Reading `cbor:"3,keyasint,omitempty"`
	NoDate  string          `cbor:"4,keyasint,omitempty"` // what of it would be a date and is none: 31 Feb
	Lost    []string        `cbor:"5,keyasint,omitempty"` // parts of it, or cells of a table behind their column, that are no answer
}

// PIN says what a text was as the PIN of a clinician. The intake reckons it, since
// hashing takes a salt and time; nothing behind it ever sees the digits.
type PIN uint8

// What it was.
const (
	NoPIN    PIN = iota
	PINRight     // the one that is kept
	PINWrong     // another one
	PINNew       // none is kept yet: Secret is what this one may be kept as
	PINWeak      // not six digits, or six that are tried first
	PINStray     // nobody asked for one
)

// Forget takes the words out of what was said, and what was read of them.
func (s *Said) Forget() {
	s.Nights, s.Find = nil, ""
	s.Text, s.Reading, s.Pairs, s.Zones, s.List = "", reading.Reading{}, nil, nil, ""
}

// Kept is an event as journals keep it: without what no journal may have.
func Kept(b Body) Body {
	switch b := b.(type) {
	case Said:
		b.Secret = ""
		return b
	case Manage:
		b.Secret = ""
		return b
	}
	return b
}

// Sender says what kind of account said something.
type Sender uint8

// The senders.
const (
	FromPerson    Sender = iota
	FromMachine          // another bot
	FromAnonymous        // a group's admin without a name, or a channel: there is nobody to hold to it
)

// Tap is a press of an inline button, by the person bound to the chat.
type Tap struct {
	Chat    int64  `cbor:"1,keyasint,omitempty"`
	Gen     int32  `cbor:"2,keyasint,omitempty"`
	Op      string `cbor:"3,keyasint,omitempty"`
	Arg     string `cbor:"4,keyasint,omitempty"`
	Nonce   string `cbor:"5,keyasint,omitempty"`
	Message int64  `cbor:"6,keyasint,omitempty"`
	User    int64  `cbor:"7,keyasint,omitempty"` // who pressed; in a private chat the same as Chat
	// Patient is whose card carried the button (Button.Patient). A tap in a
	// staff chat goes to that chat's own flow; one in a patient's chat to the patient's.
	Patient chart.PatientID `cbor:"8,keyasint,omitempty"`
}

// Other is a message without readable text.
type Other struct {
	Chat    int64  `cbor:"1,keyasint,omitempty"`
	Gen     int32  `cbor:"2,keyasint,omitempty"`
	Kind    string `cbor:"3,keyasint,omitempty"` // "voice", "photo", "sticker", ...
	Message int64  `cbor:"4,keyasint,omitempty"`
	User    int64  `cbor:"5,keyasint,omitempty"`
	From    Sender `cbor:"6,keyasint,omitempty"`
	AppLang string `cbor:"7,keyasint,omitempty"`
}

// Due is a timer that came due. Scheduled is when it should have fired, in the
// patient's wall time; Wall of the event says when it did.
type Due struct {
	Name      string     `cbor:"1,keyasint,omitempty"`
	Arg       string     `cbor:"2,keyasint,omitempty"`
	Scheduled civil.Wall `cbor:"3,keyasint,omitempty"`
	Late      int32      `cbor:"4,keyasint,omitempty"` // minutes late, by the clock
}

// Bounce says that the bound chat cannot be reached, Reached that it can again.
type Bounce struct {
	Chat int64  `cbor:"1,keyasint,omitempty"`
	Why  string `cbor:"2,keyasint,omitempty"` // "blocked", "gone"
}

// Reached says that a chat that bounced is open again.
type Reached struct {
	Chat int64 `cbor:"1,keyasint,omitempty"`
}

// Missed says that a message expired before it could be sent: ours, not the
// patient's silence.
type Missed struct {
	Key string `cbor:"1,keyasint,omitempty"`
}

// Delivered says that a message reached its chat: the patient's, where its key
// begins with KeyTold, or that of a person or group of the practice, with KeyCard.
type Delivered struct {
	Key     string `cbor:"1,keyasint,omitempty"`
	Chat    int64  `cbor:"2,keyasint,omitempty"` // of a card
	Message int64  `cbor:"3,keyasint,omitempty"` // the platform's number of it
}

// Gap says that no update could be taken between two instants: taps were lost.
type Gap struct {
	Minutes int32 `cbor:"1,keyasint,omitempty"`
}

// Restored says that the store was restored from a copy: nothing known since is
// certain. A patient hears it at the restore and again after the release.
type Restored struct {
	Epoch int32      `cbor:"1,keyasint,omitempty"`
	Since civil.Wall `cbor:"2,keyasint,omitempty"` // of the copy's last commit, at the practice
}

// Bound tells a chat that it is now, or no longer, a patient's.
type Bound struct {
	Patient chart.PatientID `cbor:"1,keyasint,omitempty"`
	Gen     int32           `cbor:"2,keyasint,omitempty"`
	Lang    string          `cbor:"3,keyasint,omitempty"`
	Since   civil.Date      `cbor:"4,keyasint,omitempty"`
	Refused bool            `cbor:"5,keyasint,omitempty"` // the code was not taken
	Freed   bool            `cbor:"6,keyasint,omitempty"` // the binding ended
}

// LabelTaken tells a chat that another patient goes by the label it enrolled.
type LabelTaken struct {
	Label string `cbor:"1,keyasint,omitempty"`
}

// Brief tells a staff chat what a form about a patient needs to know. Ask is
// the operation the form is for, as the button named it.
type Brief struct {
	Patient   chart.PatientID `cbor:"1,keyasint,omitempty"`
	Enrolment chart.Enrolment `cbor:"2,keyasint,omitempty"` // with the plan in force
	State     chart.State     `cbor:"3,keyasint,omitempty"`
	Left      chart.Steps     `cbor:"4,keyasint,omitempty"`
	Right     chart.Steps     `cbor:"5,keyasint,omitempty"`
	InDoubt   bool            `cbor:"6,keyasint,omitempty"`
	Flags     []redflag.Flag  `cbor:"7,keyasint,omitempty"`
	Escs      []Escalation    `cbor:"8,keyasint,omitempty"`
	Ask       string          `cbor:"9,keyasint,omitempty"`
	Doubts    []message.Line  `cbor:"10,keyasint,omitempty"` // what speaks against keeping this position
	Made      int32           `cbor:"11,keyasint,omitempty"` // the state it tells of, as Order.Made
	Preview   bool            `cbor:"14,keyasint,omitempty"` // it answers what a changed plan would do (Ahead), or what answers to be written meet (Nights)
	Ahead     []message.Line  `cbor:"13,keyasint,omitempty"` // tonight, the date of the ceiling, and what is open, under that plan
	Stale     bool            `cbor:"12,keyasint,omitempty"` // the button that asked was of another state: the form is closed
	Nights    []chart.Entry   `cbor:"15,keyasint,omitempty"` // with Preview: what the diary has of the nights that are to be written

	Proof *chart.SleepTest `cbor:"16,keyasint,omitempty"` // the newest test that counts for this position
}

// Draft is an enrolment that an assistant filled in, for a clinician to sign.
type Draft struct {
	Filled enrol.Filled `cbor:"1,keyasint,omitempty"`
	Actor  Actor        `cbor:"2,keyasint,omitempty"`
	Nonce  string       `cbor:"3,keyasint,omitempty"` // its button carries it
	// A change of a plan that raises something is looked at a second time: it waits in
	// the same way, for another clinician or, later, for its author.
	Order *Order `cbor:"4,keyasint,omitempty"`
	Brief *Brief `cbor:"5,keyasint,omitempty"`
	Due   int64  `cbor:"6,keyasint,omitempty"` // Unix seconds from which its author may look again; 0: another person does
	Told  bool   `cbor:"7,keyasint,omitempty"` // that it is due
}

// Settings are the practice's settings, read from its file by the owner. Staff,
// codes, group, holds and restores are not settings: they stay.
type Settings struct {
	Practice practice.Practice `cbor:"1,keyasint,omitempty"`
	Off      []string          `cbor:"2,keyasint,omitempty"` // labels of staff whom the rota has off duty now
	Actor    Actor             `cbor:"3,keyasint,omitempty"`
}

// StaffChange is the owner's: a person comes, goes, or gets a new code.
type StaffChange struct {
	Op    StaffOp        `cbor:"1,keyasint,omitempty"`
	Staff practice.Staff `cbor:"2,keyasint,omitempty"`
	Code  practice.Code  `cbor:"3,keyasint,omitempty"` // hashed, ends 15 minutes from now
}

// StaffOp is what happens to a person of the practice.
type StaffOp uint8

// The operations.
const (
	StaffNone   StaffOp = iota
	StaffAdd            // Staff and the code that binds its chat
	StaffRemove         // by Staff.ID, for good
	StaffCode           // a new code for Staff.ID; the old chat is let go when it is used
	StaffGroup          // the code that binds the staff group
	StaffVoid           // Code was seen in the wrong place: it counts no more
	StaffPIN            // the PIN of Staff.ID is forgotten: the person chooses another with the next signature
)

// Manage asks something of the practice as a whole.
type Manage struct {
	Op    ManageOp `cbor:"1,keyasint,omitempty"`
	Actor Actor    `cbor:"2,keyasint,omitempty"`
	Lang  string   `cbor:"3,keyasint,omitempty"`
	Label string   `cbor:"4,keyasint,omitempty"` // the patient it is about, by the practice's label

	Patient chart.PatientID  `cbor:"5,keyasint,omitempty"` // the patient it is about
	Secret  string           `cbor:"6,keyasint,omitempty"` // with ManagePIN: what the actor's PIN is kept as; no journal has it (Kept)
	Blanks  []practice.Blank `cbor:"7,keyasint,omitempty"`
	Cover   *practice.Cover  `cbor:"8,keyasint,omitempty"`
	Text    string           `cbor:"9,keyasint,omitempty"` // with ManageHold: why
}

// ManageOp is what is asked.
type ManageOp uint8

// The operations.
const (
	ManageNone    ManageOp = iota
	ManageHold             // nobody is told to go forward, until
	ManageResume           // C
	ManageRelease          // the owner: the restored copy was looked at, patients may confirm their settings
	ManageRival            // another program polls with our token
	ManageAlone            // it no longer does
	ManageLang             // the actor's own language, Lang
	ManageAside            // a message could not be taken in and was set aside, of Label where that is known
	ManageDamaged          // the record of Label cannot be read: nothing is asked or answered there
	ManageHalt             // the owner: the rules are halted, every advice is a stay, until
	ManageLift             // the owner: they are lifted
	ManageWords            // words of a patient wait for a person to read them
	ManageNumber           // Patient asks for its number in the practice
	ManagePIN              // the actor has chosen a PIN, Secret
	ManagePINOut           // the actor's PIN was wrong too often: it signs no more until the owner resets it
	ManageUsual            // C: what is usual in new plans, Blanks
	ManageCover            // C: who covers some days, Cover
	ManageUncover          // C: that cover ends
)

// Numbered gives a patient its number in the practice, counted from 1.
type Numbered struct {
	Number int32 `cbor:"1,keyasint,omitempty"`
}

// NoSuchCode tells a chat that nobody owns the code it gave.
type NoSuchCode struct{}

// StaffJoin says that a chat gave a staff code; StaffBound is the answer.
type StaffJoin struct {
	Chat  int64  `cbor:"1,keyasint,omitempty"`
	Code  string `cbor:"2,keyasint,omitempty"` // keyed hash, as kept in Practice
	Lang  string `cbor:"3,keyasint,omitempty"`
	Group bool   `cbor:"4,keyasint,omitempty"` // the chat is a group that gave the practice's group code
}

// StaffBound tells a chat that it is a staff member's, or no longer.
type StaffBound struct {
	Staff   string        `cbor:"1,keyasint,omitempty"`
	Role    practice.Role `cbor:"2,keyasint,omitempty"`
	Refused bool          `cbor:"3,keyasint,omitempty"`
	Freed   bool          `cbor:"4,keyasint,omitempty"`
	NoPIN   bool          `cbor:"5,keyasint,omitempty"` // the owner has reset the person's PIN; nothing else has changed
}

// GroupMoved says that a group chat has a new number.
type GroupMoved struct {
	From int64 `cbor:"1,keyasint,omitempty"`
	To   int64 `cbor:"2,keyasint,omitempty"`
}

func (Enrol) body()       {}
func (Join) body()        {}
func (Said) body()        {}
func (Tap) body()         {}
func (Other) body()       {}
func (Due) body()         {}
func (Order) body()       {}
func (Bounce) body()      {}
func (Reached) body()     {}
func (Numbered) body()    {}
func (Missed) body()      {}
func (Delivered) body()   {}
func (Gap) body()         {}
func (Restored) body()    {}
func (Bound) body()       {}
func (NoSuchCode) body()  {}
func (LabelTaken) body()  {}
func (Brief) body()       {}
func (Draft) body()       {}
func (Settings) body()    {}
func (StaffChange) body() {}
func (Manage) body()      {}
func (StaffJoin) body()   {}
func (StaffBound) body()  {}
func (GroupMoved) body()  {}
