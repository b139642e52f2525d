// Package outcome is the arithmetic of a course's results, in whole tenths:
// severity, change, response, alleviation and snoring, each by the definition
// beside it. What is undefined is refused with the key of a text that says why,
// and is never a number.
package outcome
