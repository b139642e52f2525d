package flows

// The stable names of states, roles and sources: for index columns, exports and
// replay, never for a person to read.

var stateNames = [...]string{"none", "invited", "consented", "settling", "stepping", "resting", "holding", "testing", "steady", "recall", "paused", "stopped", "ended"}

// String gives the state's stable name.
func (s State) String() string { return nameOf(stateNames[:], int(s)) }

var roleNames = [...]string{"none", "assistant", "clinician", "owner"}

// String gives the role's stable name.
func (r Role) String() string { return nameOf(roleNames[:], int(r)) }

// RoleOf reads a role's stable name; NoRole for anything else.
func RoleOf(name string) Role {
	for i, n := range roleNames {
		if n == name && i > 0 {
			return Role(i)
		}
	}
	return NoRole
}

var sourceNames = [...]string{"none", "patient", "staff", "transcribed", "undo", "bot"}

// String gives the source's stable name.
func (s Source) String() string { return nameOf(sourceNames[:], int(s)) }

var actionNames = [...]string{"none", "leave_out", "go_back", "stay", "forward"}

// String gives the action's stable name.
func (a Action) String() string { return nameOf(actionNames[:], int(a)) }

var scriptNames = [...]string{"none", "evening", "morning", "recheck", "weekly"}

// String gives the check-in's stable name.
func (s Script) String() string { return nameOf(scriptNames[:], int(s)) }

func nameOf(names []string, i int) string {
	if i < 0 || i >= len(names) {
		return names[0]
	}
	return names[i]
}

var orderNames = [...]string{"none", "ack", "note", "resolve", "hold", "resume", "confirm", "deny", "release", "plan", "grant", "visit", "step", "test", "testing", "setting", "steady", "recall", "end", "contact", "transcribe", "rebind", "unbind", "card", "reopen", "wrong", "brief", "move"}

// String gives the order's stable name.
func (o OrderOp) String() string { return nameOf(orderNames[:], int(o)) }
