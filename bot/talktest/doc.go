// Package talktest plays conversations in tests.
//
// A talk is a file of testdata/talks: what people do, and under it what everybody
// sees then, as keys and values of the catalogue; README.txt beside them lists the
// words of a script. Load reads them, Script.Play plays one in a World: NewPure is
// the pure core with a tiny scheduler of its own, NewWhole the whole program on a
// store. Both must print the same lines. A new conversation is a new file there.
//
// What no script can say, such as a platform that fails or a second process, is a
// test on a Scene: Play gives the invented practice three weeks in, on which
// Hears says something and gives the answer, Goes moves the clock, Restart ends
// the program and starts it again, and Platform.Inject lets the platform fail.
package talktest
