package flows

// Staff acts on a course. Each is total: it is done, or refused with a reason
// and nothing is changed. The night is the coming one: until the evening's
// advice, tonight.

// Begin starts pacing at the fitting-day setting, state settling.
func (c *Course) Begin(f Facts, night Date) {}

// Visit records that the setting is now to; counts restart.
func (c *Course) Visit(f Facts, night Date, to Steps) Refusal { return "" }

// Release releases a flag, or all of them where id is empty. Who was settling,
// stepping or resting rests, at to and at most at the last comfortable
// setting, with counts at zero and the interval doubled.
func (c *Course) Release(f Facts, night Date, id string, to Steps) Refusal { return "" }

// Grant lifts the comfort limit, the timetable's top, P13 and P17 up to a
// setting until a night (0: no end).
func (c *Course) Grant(f Facts, night Date, to Steps, until Date, by string) Refusal { return "" }

// Order steps on to a setting, P13 off.
func (c *Course) Order(f Facts, night Date, to Steps) Refusal { return "" }

// Step releases the one step that waits for a person; it is advised on the
// next evening that nothing else holds.
func (c *Course) Step(f Facts, night Date) Refusal { return "" }

// Testing says that a sleep test is arranged.
func (c *Course) Testing(night Date) Refusal { return "" }

// Tested records that a sleep test was done at a setting.
func (c *Course) Tested(night Date, setting Steps) Refusal { return "" }

// Steady says that the position is proved; Recall that yearly recall began.
func (c *Course) Steady(night Date) Refusal { return "" }

// Recall moves on to yearly recall.
func (c *Course) Recall(night Date) Refusal { return "" }

// Pause stops pacing until Resume. An open E or S flag still shows as stopped.
func (c *Course) Pause() Refusal { return "" }

// Resume ends a pause.
func (c *Course) Resume() Refusal { return "" }

// End ends treatment; Reopen brings an ended course back to where it was.
func (c *Course) End() Refusal { return "" }

// Reopen brings an ended course back.
func (c *Course) Reopen(night Date) Refusal { return "" }

// Renew takes note of a new revision of the plan.
func (c *Course) Renew(f Facts, night Date) {}

// Contact records a clinician's contact with the patient.
func (c *Course) Contact(night Date) {}
