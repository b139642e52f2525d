//go:build race

package program_test

// raced: the race detector slows virtual time by ten times and more.
const raced = true
