//go:build !race

package program_test

const raced = false
