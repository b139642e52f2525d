package flows

// Row is one row of the flag table.
type Row struct {
	ID      string
	Class   Class
	Driver  Class // where the patient drives for work; NoClass: the same
	Wear    Wear
	Caution string // message key
	Act     string // message key of the one fixed act of an E row; empty for none
	Role    Role   // who may release it
	Source  string
}

// RuleText is what people read of a pacing rule, by message keys.
type RuleText struct {
	Rule   Rule
	Name   string // "rule.P07.name"
	Desk   string // "rule.P07.desk"
	Source string
}

// Flags returns the flag table.
func Flags() []Row { return nil }

// FlagRow finds a row of the flag table by its id.
func FlagRow(id string) (Row, bool) { return Row{}, false }

// RuleRow returns what people read of a rule.
func RuleRow(r Rule) RuleText {
	return RuleText{Rule: r, Name: "rule." + r.ID() + ".name", Desk: "rule." + r.ID() + ".desk"}
}
