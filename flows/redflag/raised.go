package redflag

import (
	"duskdawn/flows/practice"
)

// Raised is what an answer, a text or a night's rules raised.
type Raised struct {
	ID      string // the flag's row, or the rule that asks for a person
	Class   Class
	Wear    Wear
	Caution string        // message key of what the patient hears at once
	New     bool          // it was not open before
	Role    practice.Role // who may release it
	Flag    bool          // false: a notice to the desk without a flag
	Rings   bool          // of a notice: somebody is to call, it waits for no digest
}

// Notice tells the desk of something without a flag: the rule of an id, or the guard.
func Notice(id string, role practice.Role) Raised {
	return Raised{ID: id, Class: ClassN, New: true, Role: role}
}
