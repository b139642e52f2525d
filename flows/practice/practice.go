package practice

import (
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// Role is what a person may do.
type Role uint8

// The roles. Owner acts on the command line of the host only.
const (
	NoRole Role = iota
	Assistant
	Clinician
	Owner
)

// Staff is one person of the practice.
type Staff struct {
	ID      string `cbor:"1,keyasint,omitempty"` // "s" and 8 characters
	Label   string `cbor:"2,keyasint,omitempty"` // the practice's label for the person
	Role    Role   `cbor:"3,keyasint,omitempty"`
	Chat    int64  `cbor:"4,keyasint,omitempty"` // 0 until the link was used
	Lang    string `cbor:"5,keyasint,omitempty"`
	Removed bool   `cbor:"6,keyasint,omitempty"`  // kept, so that an old button can say so and the try is recorded
	OffDuty bool   `cbor:"7,keyasint,omitempty"`  // not on the rota now
	Unreach bool   `cbor:"8,keyasint,omitempty"`  // the chat bounced
	PIN     string `cbor:"9,keyasint,omitempty"`  // what a clinician signs with, hashed; empty until the first signature
	Locked  bool   `cbor:"10,keyasint,omitempty"` // the PIN was wrong too often: only the owner resets it
	OffRota bool   `cbor:"11,keyasint,omitempty"` // the rota has the person off now; OffDuty is that, but for who covers
}

// Code is a single-use code waiting to be used, hashed.
type Code struct {
	Hash  string `cbor:"1,keyasint,omitempty"`
	Staff string `cbor:"2,keyasint,omitempty"` // whom it binds; empty for the group's code
	Ends  int64  `cbor:"3,keyasint,omitempty"` // Unix seconds
	Tries int16  `cbor:"4,keyasint,omitempty"`
}

// Span is a part of a day the office is open, in minutes after midnight.
type Span struct {
	From civil.Clock `cbor:"1,keyasint,omitempty"`
	To   civil.Clock `cbor:"2,keyasint,omitempty"`
}

// Card is the practice's own how-to card in one language: its text, and a
// picture or video by the platform's file id or a path beside the settings.
type Card struct {
	Topic reading.Topic `cbor:"1,keyasint,omitempty"`
	Lang  string        `cbor:"2,keyasint,omitempty"`
	Text  string        `cbor:"3,keyasint,omitempty"`
	File  string        `cbor:"4,keyasint,omitempty"`
	Video bool          `cbor:"5,keyasint,omitempty"`
}

// Practice is the one aggregate that all patients share: read before a commit,
// never changed by it. Its revision is named in the journal.
type Practice struct {
	Rev        int64        `cbor:"-"`
	Name       string       `cbor:"1,keyasint,omitempty"`
	Phone      string       `cbor:"2,keyasint,omitempty"`
	Emergency  string       `cbor:"3,keyasint,omitempty"` // the local emergency number
	OutOfHours string       `cbor:"4,keyasint,omitempty"` // whom to call when the office is closed
	Zone       string       `cbor:"5,keyasint,omitempty"` // IANA name
	Lang       string       `cbor:"6,keyasint,omitempty"` // the default
	Hours      [7][]Span    `cbor:"7,keyasint,omitempty"` // by time.Weekday, Sunday first
	Holidays   []civil.Date `cbor:"8,keyasint,omitempty"`
	Staff      []Staff      `cbor:"9,keyasint,omitempty"`
	Group      int64        `cbor:"10,keyasint,omitempty"` // the bound staff group; 0 for none
	Codes      []Code       `cbor:"11,keyasint,omitempty"`
	Held       bool         `cbor:"12,keyasint,omitempty"` // everything is held: no advice goes forward
	Epoch      int32        `cbor:"13,keyasint,omitempty"` // counts restores; a patient behind it must confirm the setting
	Released   int32        `cbor:"14,keyasint,omitempty"` // the epoch the owner released
	Defaults   chart.Limits `cbor:"15,keyasint,omitempty"` // of limits, for new plans
	Evening    civil.Clock  `cbor:"16,keyasint,omitempty"`
	Morning    civil.Clock  `cbor:"17,keyasint,omitempty"`
	Cards      []Card       `cbor:"18,keyasint,omitempty"`
	MinutesE   int16        `cbor:"19,keyasint,omitempty"` // deadline of class E, default 15
	MinutesS   int16        `cbor:"20,keyasint,omitempty"` // of class S, default 60
	BotName    string       `cbor:"21,keyasint,omitempty"` // the bot's user name, for links
	GroupLang  string       `cbor:"22,keyasint,omitempty"`
	PlanDays   int16        `cbor:"23,keyasint,omitempty"` // nights a plan runs unless the clinician says otherwise
	Rival      bool         `cbor:"24,keyasint,omitempty"` // another program polls with our token: no prompts, no advice
	Langs      []string     `cbor:"25,keyasint,omitempty"` // languages the catalogue has
	Rota       []Shift      `cbor:"26,keyasint,omitempty"` // who is not named in it is always on duty
	GapFrom    civil.Wall   `cbor:"27,keyasint,omitempty"` // the last commit of the copy that was restored, and the restore:
	GapTo      civil.Wall   `cbor:"28,keyasint,omitempty"` // what happened in between is lost
	Halted     bool         `cbor:"29,keyasint,omitempty"` // the owner has halted the rules: every advice is a stay
	Crisis     string       `cbor:"30,keyasint,omitempty"` // the crisis line; empty: "your local crisis line"
	NoOther    string       `cbor:"31,keyasint,omitempty"` // what a patient hears who leaves it out and has no other therapy; empty: the usual words
	Country    string       `cbor:"33,keyasint,omitempty"` // where telephones without a country's code are, ISO 3166-1 alpha-2; empty: they are not checked
	Templates  []Template   `cbor:"34,keyasint,omitempty"` // named defaults of new plans
	Own        []Blank      `cbor:"35,keyasint,omitempty"` // defaults that a clinician set in the chat: they stand before the file's
	HoldN      int32        `cbor:"36,keyasint,omitempty"` // counts holds of everything: who was let go on in one is held in the next
	Holder     Hold         `cbor:"46,keyasint,omitempty"` // who holds everything, since when and why; none in what an older program stored
	Covers     []Cover      `cbor:"45,keyasint,omitempty"` // who has the duty on some days, whatever the rota says
	Digest     string       `cbor:"32,keyasint,omitempty"` // when the morning's digest goes out, in the five fields of cron; empty: each day that the office opens
	Numbers    int32        `cbor:"41,keyasint,omitempty"` // how many patients were given a number
	Round      int64        `cbor:"40,keyasint,omitempty"` // Unix seconds: when staff are shown the words that nobody has read; 0 where none is planned
}

// Hold is who holds everything, since when and why.
type Hold struct {
	Who string     `cbor:"1,keyasint,omitempty"` // the person's label
	At  civil.Wall `cbor:"2,keyasint,omitempty"`
	Why string     `cbor:"3,keyasint,omitempty"` // in that person's words; empty where none were given
}

// Cover is who has the duty on some days, as over a holiday, whatever the rota says.
type Cover struct {
	From civil.Date `cbor:"1,keyasint,omitempty"` // the first day
	To   civil.Date `cbor:"2,keyasint,omitempty"` // the last
	Who  string     `cbor:"3,keyasint,omitempty"` // staff id of who is on duty
	For  string     `cbor:"4,keyasint,omitempty"` // staff id of who is off; empty: everybody else
}

func (c *Cover) on(day civil.Date) bool { return c.From <= day && day <= c.To }

// Duty puts everybody on or off duty as it is on a day: by the rota, and where
// somebody covers that day, by that.
func (pr *Practice) Duty(day civil.Date) {
	for i := range pr.Staff {
		s := &pr.Staff[i]
		s.OffDuty = pr.off(s.ID, day, s.OffRota)
	}
}

// off reports whether a person is off duty on a day, given whether the rota has them off.
// Where several cover for everybody else, all of them are on duty.
func (pr *Practice) off(id string, day civil.Date, off bool) bool {
	covers := slices.ContainsFunc(pr.Covers, func(c Cover) bool { return c.on(day) && c.Who == id })
	for _, c := range pr.Covers {
		switch {
		case !c.on(day):
		case c.Who == id:
			off = false
		case c.For == id, c.For == "" && !covers:
			off = true
		}
	}
	return off
}

// Blank is a blank of the plan's form and what is usual in it, as it would be typed.
type Blank struct {
	Key   string `cbor:"1,keyasint,omitempty"`
	Value string `cbor:"2,keyasint,omitempty"`
}

// Template is what the practice usually enters with one kind of appliance, or for
// one kind of course.
type Template struct {
	Name   string  `cbor:"1,keyasint,omitempty"`
	Blanks []Blank `cbor:"2,keyasint,omitempty"`
}

// TemplateOf finds a template by its name, in either case.
func (pr *Practice) TemplateOf(name string) (Template, bool) {
	for _, t := range pr.Templates {
		if name != "" && strings.EqualFold(t.Name, name) {
			return t, true
		}
	}
	return Template{}, false
}

// Usual is what the practice usually enters in a blank: by the template where it
// says it, else by what was set in the chat; empty where neither does.
func (pr *Practice) Usual(template, key string) string {
	t, _ := pr.TemplateOf(template)
	for _, list := range [...][]Blank{t.Blanks, pr.Own} {
		for _, b := range list {
			if b.Key == key {
				return b.Value
			}
		}
	}
	return ""
}

// Shift is one line of the rota: when a person's duty begins and ends, each in
// the five fields of cron on the practice's wall clock.
type Shift struct {
	Staff string `cbor:"1,keyasint,omitempty"` // label of the person
	From  string `cbor:"2,keyasint,omitempty"`
	To    string `cbor:"3,keyasint,omitempty"`
}

// ByChat returns the person of a private chat, removed ones included.
func (pr *Practice) ByChat(chat int64) (Staff, bool) {
	if chat == 0 {
		return Staff{}, false
	}
	for _, s := range pr.Staff {
		if s.Chat == chat {
			return s, true
		}
	}
	return Staff{}, false
}

// Signs reports whether a chat is one of somebody who may sign.
func (pr *Practice) Signs(chat int64) bool {
	s, ok := pr.ByChat(chat)
	return ok && s.Role == Clinician
}

// OwnerID is the id of whoever acts at the command line of the machine itself.
const OwnerID = "owner"

// ByID returns the person of a staff id, removed ones included.
func (pr *Practice) ByID(id string) (Staff, bool) {
	for _, s := range pr.Staff {
		if s.ID == id {
			return s, true
		}
	}
	return Staff{}, false
}

// Frozen reports whether a restored copy waits for the owner's release. Until
// then no prompt and no advice is made; emergencies go on, and whoever writes
// is answered.
func (pr *Practice) Frozen() bool { return pr.Epoch != pr.Released }

// The stable names of the roles.
var roleNames = [...]string{
	NoRole:    "none",
	Assistant: "assistant",
	Clinician: "clinician",
	Owner:     "owner",
}

// String gives the role's stable name, for index columns, exports and replay, never for a person to read.
func (r Role) String() string {
	if int(r) < len(roleNames) {
		return roleNames[r]
	}
	return roleNames[NoRole]
}

// RoleOf reads a role's stable name; NoRole for anything else.
func RoleOf(name string) Role {
	for i, n := range roleNames {
		if n == name && i > 0 {
			return Role(i)
		}
	}
	return NoRole
}
