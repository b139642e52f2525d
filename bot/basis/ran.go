package basis

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// Ran is what became of tests, by "package Test": "pass", "fail" or "skip".
type Ran map[Test]string

// ReadRan reads what `go test -json` printed of the packages of a module.
func ReadRan(r io.Reader, module string) (Ran, error) {
	ran := Ran{}
	for dec := json.NewDecoder(r); ; {
		var e struct{ Action, Package, Test string }
		if err := dec.Decode(&e); errors.Is(err, io.EOF) {
			return ran, nil
		} else if err != nil {
			return nil, fmt.Errorf("reading the log of a test run: %w", err)
		}
		if e.Test == "" || len(e.Package) <= len(module) {
			continue
		}
		switch e.Action {
		case "pass", "fail", "skip":
			ran[Test{e.Package[len(module)+1:], e.Test}] = e.Action
		}
	}
}

// Missing names the log's tests that did not pass, and what became of them.
func (r Ran) Missing(hazards []Hazard) []string {
	var out []string
	for _, h := range hazards {
		for _, c := range h.Controls {
			for _, t := range c.Tests {
				switch is := r[t]; is {
				case "pass":
				case "":
					out = append(out, fmt.Sprintf("%s: %s did not run", h.ID, t))
				default:
					out = append(out, fmt.Sprintf("%s: %s: %s", h.ID, t, is))
				}
			}
		}
	}
	return out
}
