// Package civil holds dates, times of day and wall times, and says which night
// an hour belongs to. A night is named by the date of its evening. There is no
// zone here: the scheduler turns an instant into what a clock on the wall
// shows, and all that decides sees nothing else.
package civil
