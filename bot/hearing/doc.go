// Package hearing says how texts are read, and how well.
//
// Hear reads one text and says what is understood, what would be asked and what staff would get. Measure reads
// labelled sentences (package sentence) and counts what was heard right, unsure, wrong and not at all, with every
// miss. Both know no store and no chat: they read as the bot does, before it knows who wrote.
package hearing
