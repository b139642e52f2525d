// Package siege runs the program as it is installed, built and as a process of
// its own, against the platform's stand-in over loopback, and kills it with
// Kill -9 while patients and staff write, tap and are asked.
//
// A Siege has a practice on a store, the day so far played, and people who go on
// for as long as it lasts. A test begins one with New, starts processes, has the
// Crowd at it, kills what it likes, and calls End, which lets what is left come to
// its end and holds the store and every chat against what was said and what was
// due: nothing lost, nothing done twice, no red flag missed, and each stored
// patient what follows from its journal. siege_test.go and pair_test.go are such
// tests, a page each.
//
// What is promised under which fault, and the test that shows it, is in
// promises.txt.
//
// The long runs are
//
//	go test ./bot/siege -run TestKillNine -v -crash=10m -timeout 20m
//	go test ./bot/siege -run TestTwoProcesses -v -crash=5m -timeout 20m
//	go test ./bot/siege -run TestFaults -v -weather=10m -timeout 20m
package siege
