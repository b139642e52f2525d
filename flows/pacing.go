package flows

// Entry returns what is known of a night; false where it is not remembered.
func (c *Course) Entry(night Date) (Entry, bool) { return Entry{}, false }

// Answer records or corrects one answer of a night. Thresholds raise flags.
// An Unknown takes an answer back; it lifts nothing that was raised.
func (c *Course) Answer(f Facts, night Date, field Field, v Value, src Source) []Raised { return nil }

// Hear raises the flags of red-flag features in a text. What was said again
// while open is not New.
func (c *Course) Hear(f Facts, at Wall, features Features, quote string) []Raised { return nil }

// Advise commits the night's advice. Called again for the same night, only a
// more cautious one replaces it, with the next number.
func (c *Course) Advise(f Facts, night Date) (Advice, []Raised) { return Advice{}, nil }

// Preview is what Advise would say; nothing is kept.
func (c *Course) Preview(f Facts, night Date) Advice { return Advice{} }

// Confirm takes the patient's word for where the appliance stands on a night,
// in steps from fitting day; right is read of a two-sided appliance alone.
func (c *Course) Confirm(f Facts, night Date, left, right Steps) []Raised { return nil }

// LoseCount puts the count in doubt until the patient says where it stands.
func (c *Course) LoseCount() {}
