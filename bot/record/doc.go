// Package record makes one Record of a patient from what is stored, and writes
// it as a table. Everything that leaves the program about a patient is made
// from the same Record, so that two papers cannot disagree.
package record
