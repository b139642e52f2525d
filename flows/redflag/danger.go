package redflag

import "duskdawn/flows/reading"

// called are the rows of dangers that have no row of their own name.
var called = map[reading.Danger]string{
	reading.DangerSelfHarm: "crisis", reading.DangerOverdose: "crisis",
	reading.DangerPartnerBlue: "urgent", reading.DangerRash: "mouth.rash",
}

// ByDanger finds the row of a danger; nil where the table has none: a person reads the words.
func ByDanger(d reading.Danger) *Row {
	if row := Find(d.String()); row != nil {
		return row
	}
	return Find(called[d])
}

// MostUrgent is the row of the most urgent danger of a set, of several the most particular; nil where none has one:
// then a person reads the words.
func MostUrgent(ds reading.Dangers) *Row {
	if ds == 0 { // nearly every text
		return nil
	}
	for _, class := range []byte("ESN") {
		of := ds.Of(class).All()
		for i := range table {
			for _, d := range of {
				if ByDanger(d) == &table[i] {
					return &table[i]
				}
			}
		}
	}
	return nil
}
