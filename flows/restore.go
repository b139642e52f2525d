package flows

// doubtEpoch begins a turn after a restore: what was known since the copy is
// lost, so the count is in doubt and no advice stands until the patient has
// said where the appliance is.
func (t *turn) doubtEpoch() {
	c := &t.p.Course
	if t.p.Epoch == t.pr.Epoch || c.InDoubt || c.State <= Consented || c.State == Ended {
		return
	}
	c.LoseCount()
	if c.Advice.Night >= t.nights() { // what was advised for tonight holds no more
		c.Advice.Action = NoAction
		t.withdraw("advice")
	}
	t.log("restore.doubt", ArgN("epoch", int(t.pr.Epoch)))
}

// sureEpoch ends it: the setting was confirmed in this turn.
func (t *turn) sureEpoch() {
	c := &t.p.Course
	if t.p.Epoch != t.pr.Epoch && (!c.InDoubt || c.State <= Consented || c.State == Ended) {
		t.p.Epoch = t.pr.Epoch
	}
}

// restored asks for the setting once the owner has looked at the restored copy.
func (t *turn) restored(Restored) {
	if t.pr.Released != t.pr.Epoch || !t.speaking() || !t.running() {
		return
	}
	t.say("restore.ask")
	t.openAgain()
}
