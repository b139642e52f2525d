// Package linear is nets of one layer whose inputs are hashes of what is heard: sums of weights, few of which are not 0, written
// down in little room (form.go). What is heard is for whoever uses one: dangers (package danger), or whether an answer is to be
// written down (package answer).
package linear
