//go:build race

package main

// raced: the race detector slows virtual time by ten times and more.
const raced = true
