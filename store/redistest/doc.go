// Package redistest starts a redis-server of a test's own, which keeps what it is
// told. Where there is none on the PATH the test is skipped, or fails where
// DUSKDAWN_NO_SKIP is set.
package redistest
