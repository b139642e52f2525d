// Package reading is what a text was understood to say, before anybody asks
// whose night it is or which question was open: answers with the day they name,
// a control word, red-flag features, and the doubts that remain. Package
// locales makes a Reading of any text in any of its languages; the talk decides
// what it means for one patient.
package reading
