package flows

import "duskdawn/flows/chart"

// FieldName is the name of a field in keys, for tests.
func FieldName(f chart.Field) string { return fieldNames[f] }
