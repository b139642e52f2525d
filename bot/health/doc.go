// Package health tells whoever watches the program whether it lives and
// whether all is well, and says what is wrong by name. It knows no patient and
// nothing of what is checked.
package health
