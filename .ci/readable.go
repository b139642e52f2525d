// Readable keeps what `go test -json` prints in the file it is given, and
// prints what people want to read of it: a line a package, everything that a
// failed test said, and at the end how long each package took.
package main

import (
	"bufio"
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"slices"
)

// lasted is how long the tests of a package took.
type lasted struct {
	pkg     string
	seconds float64
}

func main() {
	log, err := os.Create(os.Args[1])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	said := map[string][]string{} // by package and test
	var took []lasted
	in := bufio.NewReader(os.Stdin)
	for {
		line, end := in.ReadBytes('\n')
		var e struct {
			Action, Package, Test, Output string
			Elapsed                       float64
		}
		switch err := json.Unmarshal(line, &e); {
		case len(line) == 0:
		case err != nil: // not of the tests: a download, a fault of the tool itself
			os.Stdout.Write(line)
		default:
			if _, err := log.Write(line); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
			test := e.Package + " " + e.Test
			if e.Test == "" && e.Elapsed >= 1 {
				took = append(took, lasted{e.Package, e.Elapsed})
			}
			switch {
			case e.Action == "build-output", e.Action == "output" && e.Test == "" && e.Output != "PASS\n":
				fmt.Print(e.Output)
			case e.Action == "output":
				said[test] = append(said[test], e.Output)
			case e.Action == "fail":
				for _, s := range said[test] {
					fmt.Print(s)
				}
				delete(said, test)
			case e.Action == "skip" && e.Test != "":
				fmt.Printf("skipped: %s\n", test)
			case e.Action == "pass":
				delete(said, test)
			}
		}
		if end != nil {
			break
		}
	}
	slices.SortFunc(took, func(a, b lasted) int { return cmp.Compare(b.seconds, a.seconds) })
	for _, x := range took {
		fmt.Printf("%6.0f s  %s\n", x.seconds, x.pkg)
	}
	if err := log.Close(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
