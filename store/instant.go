package store

import "time"

// Micros is an instant as stored: microseconds since 1970, 0 for the zero time.
func Micros(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMicro()
}

// FromMicros reads what Micros gave, in UTC.
func FromMicros(us int64) time.Time {
	if us == 0 {
		return time.Time{}
	}
	return time.UnixMicro(us).UTC()
}

// kept is an instant as it comes back from the store.
func kept(t time.Time) time.Time { return FromMicros(Micros(t)) }
