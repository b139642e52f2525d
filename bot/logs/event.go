package logs

import "log/slog"

// Event is one kind of line the log may hold.
type Event struct {
	Name  string
	Level slog.Level
	Keys  []string // all it may carry beside time, level and name
	Means string
	Do    string // what to do about it; empty for nothing
}

// Unlisted stands for what a library, or a line that is not listed, wanted to say.
const Unlisted = "not in the inventory"

// Events is the inventory. A test compares it with every line of the program that logs.
func Events() []Event {
	return []Event{
		{"start", slog.LevelInfo, []string{"version", "zones", "languages"}, "serve begins", ""},
		{"ready", slog.LevelInfo, []string{"address", "webhook"}, "settings, store and practice are read, the loops begin", ""},
		{"stop", slog.LevelInfo, nil, "serve was told to stop and finishes what is in flight", ""},
		{"stuck", slog.LevelError, []string{"check"}, "a loop has not moved; the service manager is told nothing more and starts the program anew", "keep the journal of the minutes before it"},
		{"lease", slog.LevelInfo, []string{"polls"}, "this process takes updates from now on", ""},
		{"lease lost", slog.LevelError, []string{"class"}, "the store did not answer when the lease of the poller was due", "look at the store"},
		{"polling", slog.LevelWarn, []string{"class"}, "the platform did not answer a request for updates; it is asked again", "after two minutes taps are lost: look at the network"},
		{"token revoked", slog.LevelError, nil, "the platform has refused the token for a minute; the program ends with code 78", "make a new token and start again"},
		{"another program polls with this token", slog.LevelError, nil, "a foreign program takes our updates; prompts and advice wait", "find it and stop it, or make a new token"},
		{"telling of another program", slog.LevelError, []string{"class"}, "staff could not be told of it", "look at the store"},
		{"update not handled", slog.LevelError, []string{"update", "tries", "class"}, "an update could not be committed; it is tried again and not acknowledged", "look at the store"},
		{"set aside", slog.LevelError, []string{"class"}, "an update that cannot be read or kept was taken out of the row; its sender was told to call", "check shows it"},
		{"past the store", slog.LevelError, nil, "an emergency was answered and staff were told, and neither could be stored", "give the store room, or mend it, at once"},
		{"gap", slog.LevelError, []string{"class"}, "open questions could not all be asked again after a gap", "look at the store"},
		{"call", slog.LevelError, []string{"class"}, "a try of the outside call was not made, or may not have been; it is tried again", "see that whoever is called can be reached, and try it with check -call"},
		{"pass", slog.LevelError, []string{"part", "class"}, "a pass of the scheduler failed; it is tried again", "look at the store"},
		{"panic", slog.LevelError, []string{"part", "class"}, "a fault of the program, by its line; the event is tried again", "report it"},
		{"picture", slog.LevelError, []string{"class"}, "a picture of a course could not be drawn; its words went out alone", "damaged: look at check; store: look at the store"},
		{"timers planned again for new zone data", slog.LevelInfo, []string{"count"}, "waiting timers keep their wall time under new clocks", ""},
		{Unlisted, slog.LevelWarn, []string{"source", "count"}, "so many lines of a library, or of ours, were dropped within a minute", ""},
	}
}
