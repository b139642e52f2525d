package flows

func (t *turn) enrol(Enrol)         {}
func (t *turn) join(Join)           {}
func (t *turn) text(s Said)         { t.said(s) }
func (t *turn) tap(b Tap)           { t.tapped(b) }
func (t *turn) other(Other)         { t.say("other.type") }
func (t *turn) order(Order)         {}
func (t *turn) bounce(Bounce)       {}
func (t *turn) reached(Reached)     {}
func (t *turn) missed(Missed)       {}
func (t *turn) gap(Gap)             {}
func (t *turn) restored(Restored)   {}
func (t *turn) lifeDue(string, Due) {}
func (t *turn) note(Date, Source)   {}
