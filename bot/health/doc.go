// Package health tells whoever watches the program whether it lives and
// whether all is well, and says what is wrong by name. It knows no patient and
// nothing of what is checked.
//
// Whether it lives is each loop's own word: it says within which time it will move
// again, and /livez and the watchdog hold it to that.
package health
