// Package standin is the chat platform in memory: a strict Bot API server for
// tests and for the rehearsal, reached over HTTP or in process.
//
// It is strict on purpose. It refuses what the platform refuses, and also a
// parameter it does not know by name, because a forgiving double hides the very
// mistakes a test is to find. Updates are delivered again until the offset
// moves past them; a tap lives 150 seconds and a message a day; faults happen
// on request and are otherwise never invented.
//
// Nothing here waits on anything but channels and timers, so it runs inside
// testing/synctest as it stands.
package standin
