package flows

// word takes a control word or command.
func (t *turn) word(w Word, s Said) { t.say("help.text") }

// pass hands a text that is no answer to the desk, and says so.
func (t *turn) pass(s Said) { t.say("help.text") }
