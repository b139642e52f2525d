// Package shape is tests of the program's shape, and nothing else: that imports
// run down (imports_test.go), that the flows are pure and the chat decides nothing
// (pure_test.go), that what earlier versions stored still opens and means the same
// (stored*_test.go), and that it may grow (growth_test.go), that what is added by a
// recipe is seen through (recipe*_test.go), and that a rule, a flag or a number
// that is wrong is found by a test (mutant*_test.go, mutation_test.go,
// equal_test.go).
package shape
