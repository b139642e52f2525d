// Package locales holds every word that a person reads or writes.
//
// Words puts keys and values into words: Line and Text for messages, Label for
// quick answers. The texts are go-i18n catalogues, one file per topic and
// language ("checkin.en.toml"), embedded in the program.
//
// Read goes the other way: any text of a person becomes a flows.Reading. It
// knows neither patient nor question and reads every language at once, by a
// dictionary per language ("read.en.toml") over one grammar.
//
// The dictionary of red-flag phrases is a net with holes: it finds what people
// usually write, never all they may write. Where it errs, it is meant to err
// on the side of a false alarm.
package locales
