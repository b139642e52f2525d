package setup

import (
	"cmp"
	"slices"

	"duskdawn/flows/message"
)

// Fault is one thing wrong with a file or the settings. Say is its text for
// people, by key; Soft ones are to be seen, and do not refuse.
type Fault struct {
	Key  string // as written: "hours.mon", "step-mm", "DUSKDAWN_API"
	Line int    // of the file, from 1; 0 where there is none
	Say  message.Line
	Soft bool
}

// Refused reports whether any of the faults is hard.
func Refused(faults []Fault) bool {
	return slices.ContainsFunc(faults, func(f Fault) bool { return !f.Soft })
}

func fault(key string, line int, id string, args ...message.Arg) Fault {
	return Fault{Key: key, Line: line, Say: message.Say(id, args...)}
}

// inOrder sorts by line, then by key, so that the same file always reports the same.
func inOrder(faults []Fault) []Fault {
	slices.SortStableFunc(faults, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Key, b.Key))
	})
	return faults
}
