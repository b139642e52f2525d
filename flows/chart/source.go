package chart

// Source says where a diary row came from.
type Source uint8

// The sources.
const (
	FromPatient Source = iota + 1
	FromStaff
	Transcribed
	FromUndo
	FromBot
)

// The stable names of the sources.
var sourceNames = [...]string{
	0:           "none",
	FromPatient: "patient",
	FromStaff:   "staff",
	Transcribed: "transcribed",
	FromUndo:    "undo",
	FromBot:     "bot",
}

// String gives the source's stable name, for index columns, exports and replay, never for a person to read.
func (s Source) String() string {
	if int(s) < len(sourceNames) {
		return sourceNames[s]
	}
	return sourceNames[0]
}
