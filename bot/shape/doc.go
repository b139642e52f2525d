// Package shape is tests of the program's shape, and nothing else: that imports
// run down (imports_test.go), that the flows are pure and the chat decides nothing
// (pure_test.go), that what earlier versions stored still opens and means the same
// (stored_test.go, storedform_test.go, growth_test.go), and that a rule, a flag or a number that is
// wrong is found by a test (mutant_test.go, mutation_test.go, equal_test.go), and
// that a recipe of DEVELOPERS.md leads to its end (recipe_test.go).
package shape
