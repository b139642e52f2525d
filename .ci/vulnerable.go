// Vulnerable reads what govulncheck -format json prints, and names each known
// vulnerability that the program can call. One that has a fix fails the run;
// one without is only told, since nothing can be done about it here.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
)

type finding struct {
	OSV   string `json:"osv"`
	Fixed string `json:"fixed_version"`
	Trace []struct {
		Module, Version, Package, Function string
	} `json:"trace"`
}

func main() {
	in := json.NewDecoder(os.Stdin)
	called := map[string]finding{}
	looked := false
	for {
		var m struct {
			Config  *struct{} `json:"config"`
			Finding *finding  `json:"finding"`
		}
		if err := in.Decode(&m); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			fmt.Println("govulncheck said what cannot be read:", err)
			os.Exit(1)
		}
		looked = looked || m.Config != nil
		if f := m.Finding; f != nil && len(f.Trace) > 0 && f.Trace[0].Function != "" {
			called[f.OSV] = *f
		}
	}
	if !looked {
		fmt.Println("govulncheck said nothing")
		os.Exit(1)
	}
	failed := false
	for id, f := range called {
		at := f.Trace[0]
		if f.Fixed == "" {
			fmt.Printf("%s: %s %s, %s.%s is called; there is no fix yet\n", id, at.Module, at.Version, at.Package, at.Function)
			continue
		}
		failed = true
		fmt.Printf("%s: %s %s, %s.%s is called; fixed in %s\n", id, at.Module, at.Version, at.Package, at.Function, f.Fixed)
	}
	if failed {
		os.Exit(1)
	}
	fmt.Printf("%d called, none that has a fix\n", len(called))
}
