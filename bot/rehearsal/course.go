package rehearsal

import (
	"context"
	"errors"
	"time"

	"duskdawn/bot/standin"
)

// House opens worlds, and has the page's words.
type House interface {
	// Languages lists the languages of the page, the first one for who reads none of them.
	Languages() []string
	// Words are the page's texts in a language, by their keys.
	Words(lang string) map[string]string
	// Scenes lists what can be opened. The texts of a scene are the words
	// "scene.ID.name" and "scene.ID.story".
	Scenes() []string
	// Open starts a scene in a world of its own; the empty one is the opening.
	Open(ctx context.Context, scene string) (World, error)
}

// World is the program that is rehearsed, with its people, as far as the page
// must know it. Its methods are called from several goroutines; Set, Quiet,
// Answer and Look by one at a time.
type World interface {
	// Platform is where its talks are.
	Platform() *standin.Server
	// Now is where the clock stands.
	Now() time.Time
	// Next is when the next waiting thing is due; false when nothing waits.
	Next() (time.Time, bool)
	// Set moves the clock forward to t. It is called for each waiting thing
	// in turn, and never with a time before Now.
	Set(t time.Time)
	// Quiet returns when no update is unconfirmed, nothing due waits, nothing
	// can be sent and nothing is in flight; or with the context's error.
	Quiet(ctx context.Context) error
	// Chats lists who can be played, in the order to show them: always the same
	// entries, while what is said of them changes.
	Chats() []Chat
	// Opens is the chat to show first.
	Opens() int64
	// Moment is the next "morning" or "evening" of a chat.
	Moment(c Chat, what string) (time.Time, bool)
	// Answer lets the patients answer what they are asked, as on a quiet day.
	Answer(ctx context.Context) error
	// Look tells what happened since it was last asked: flags, cards, steps.
	Look(ctx context.Context) ([]Told, error)
	// Say puts a Told into words.
	Say(lang string, t Told) string
	// Course draws the chosen patient's course, or for staff the practice.
	Course(ctx context.Context, c Chat, ask Ask) (Course, error)
	// Night tells what is known of one night, and why its advice was so.
	// ErrNoNight where there is none.
	Night(ctx context.Context, c Chat, lang, night string) (Night, error)
	// Note keeps what somebody did here, for Talk.
	Note(a Act)
	// Talk is the scene so far as a script of testdata/talks; empty where it
	// cannot be one.
	Talk() string
	// Save writes the world down, and room beside it, where it outlives the
	// program; room is not asked elsewhere.
	Save(room func() ([]byte, error)) error
	// Close ends the world.
	Close()
}

// ErrNoNight says that nothing is known of a night, or that nobody's nights are meant.
var ErrNoNight = errors.New("no such night")

// ErrNoScene says that there is no such scene.
var ErrNoScene = errors.New("no such scene")

// Chat is one person to play in one chat.
type Chat struct {
	ID      int64  `json:"id"`      // of this entry: a person in a group is another entry than another person
	Who     string `json:"who"`     // the invented person
	Role    string `json:"role"`    // patient, clinician, assistant, ...
	Patient string `json:"patient"` // the patient's label, if the person is one
	Zone    string `json:"zone,omitempty"`
	Open    int    `json:"open,omitempty"` // of a patient: what waits for a person and nobody has taken
	State   string `json:"state,omitempty"`

	Room int64  `json:"-"` // the stand-in's chat; 0 is the person's private one
	User int64  `json:"-"` // the stand-in's user
	Name string `json:"-"` // in a script
}

func (c Chat) room() int64 {
	if c.Room != 0 {
		return c.Room
	}
	return c.User
}

// Told is one thing that happened: what kind of thing, and what the world needs
// to put it into words.
type Told struct {
	At   time.Time
	Chat int64
	Kind string // flag, card, step
	What any
}

// Ask is how a course is wanted.
type Ask struct {
	Lang  string
	Width int
	Try   map[string]int // limits to try beside the signed ones, by their names
}

// Course is a drawing with what can be chosen in it.
type Course struct {
	SVG    string     `json:"svg"`
	Charts []string   `json:"charts"` // further drawings
	Nights []NightRow `json:"nights"` // newest first
	Limits []Limit    `json:"limits"` // what can be tried
	Other  string     `json:"other"`  // in how many nights the tried limits differ, in words
}

// NightRow is one night in a line.
type NightRow struct {
	Night   string `json:"night"` // YYYY-MM-DD
	Day     string `json:"day"`   // the same in words
	Setting string `json:"setting"`
	Advice  string `json:"advice"`
	Rule    string `json:"rule"`
	Other   string `json:"other,omitempty"` // what the tried limits would have advised, where it differs
}

// Limit is one of the plan's limits that can be tried.
type Limit struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Value int    `json:"value"`
	Least int    `json:"least"`
	Most  int    `json:"most"`
}

// Night is what is known of one night.
type Night struct {
	Night  string   `json:"night"`
	Day    string   `json:"day"`
	Entry  []string `json:"entry"`  // what was answered
	Done   []string `json:"done"`   // what the desk did
	Advice string   `json:"advice"` // in words; empty for none
	Reason string   `json:"reason"`
	Rules  []Rule   `json:"rules"` // every one that spoke, the one shown first
	Moved  []string `json:"moved"` // what would have moved it on
	Went   bool     `json:"forward"`
}

// Rule is a rule that spoke.
type Rule struct {
	ID     string   `json:"id"`
	Name   string   `json:"name"`
	Reason string   `json:"reason"`
	Source []string `json:"source"` // what it rests on
}
