package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// imports is the import table of DEVELOPERS.md: who may import which of our
// own packages directly, tests left out.
var imports = map[string][]string{
	"flows":           {},
	"flows/desk":      {"flows"},
	"flows/replay":    {"flows"},
	"flows/cohort":    {"flows"},
	"locales":         {"flows"},
	"store":           {"flows"},
	"store/memory":    {"flows", "store"},
	"store/sqlite":    {"flows", "store"},
	"store/redis":     {"flows", "store"},
	"store/storetest": {"flows", "store", "store/memory"},
	"store/disk":      {},
	"scheduler":       {"flows", "store"},
	"bot/telegram":    {},
	"bot/chat":        {"flows", "flows/desk", "locales", "store", "bot/telegram"},
	"bot/record":      {"flows", "flows/replay", "locales"},
	"bot/chart":       {"flows", "locales"},
	"bot/basis":       {"flows", "locales"},
	"bot/setup":       {"flows"},
	"bot/standin":     {},
	"bot/rehearsal":   {"bot/standin"},
	"bot/logs":        {},
	"bot/health":      {},
	"bot/metrics":     {"flows", "scheduler", "store"},
	"bot":             nil, // main wires: all but storetest
}

// TestImports keeps the table true. It looks at direct imports: fmt itself pulls in os.
func TestImports(t *testing.T) {
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", "duskdawn/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	seen := 0
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimPrefix(p.ImportPath, "duskdawn/")
		may, ok := imports[name]
		if !ok {
			t.Errorf("%s is not in the import table", name)
			continue
		}
		seen++
		for _, i := range p.Imports {
			ours, is := strings.CutPrefix(i, "duskdawn/")
			switch {
			case !is:
			case name == "bot" && ours != "store/storetest":
			case !slices.Contains(may, ours):
				t.Errorf("%s imports %s; the table allows %v", name, ours, may)
			}
		}
	}
	if seen < 8 {
		t.Errorf("only %d packages were looked at", seen)
	}
}
