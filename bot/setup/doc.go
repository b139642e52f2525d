// Package setup reads what the owner of an installation writes: the settings
// of the process (DUSKDAWN_... variables), the practice's file, and a plan's
// file for enrolling from the command line. It reads strictly: unknown names
// are reported, and every problem carries its key and line, all at once, so
// that one correction round is enough. A file with problems changes nothing.
package setup
