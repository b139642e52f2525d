package shape

import (
	"encoding/json"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// show is a piece of a file with all its edits made. not keeps an edit from
// showing itself.
func (f *factory) show(file string, lo, hi int, not *edit) string {
	var out strings.Builder
	at := lo
	es := f.edits[file]
	for i := range es {
		e := &es[i]
		if e == not || e.lo < at || e.hi > hi || not != nil && e.lo == not.lo && e.hi == not.hi {
			continue
		}
		out.Write(f.text[file][at:e.lo])
		out.WriteString(e.make(func(lo, hi int) string { return f.show(file, lo, hi, e) }))
		at = e.hi
	}
	out.Write(f.text[file][at:hi])
	return out.String()
}

// mutantHelp is what the edits call.
const mutantHelp = `

import (
	"os"
	"strconv"
)

var mutantNow = func() int { n, _ := strconv.Atoi(os.Getenv("` + mutantVar + `")); return n }()

func mutantIs(n int) bool { return mutantNow == n }

type mutantInt interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64 | ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64
}

func mutantNone[T any](n int, v T) (none T) {
	if mutantIs(n) {
		return none
	}
	return v
}

func mutantNumber[T mutantInt](up, down int, v T) T {
	switch mutantNow {
	case up:
		return v + 1
	case down:
		return v - 1
	}
	return v
}

`

// mutantRuleHelp is what the edits of the rule table call.
const mutantRuleHelp = `package pacing

func mutantAsk(n int, ask func(assessment) result) func(assessment) result {
	if mutantIs(n) {
		return func(assessment) result { return result{} }
	}
	return ask
}

`

// mutantFlagHelp is what the edits of the flag table call.
const mutantFlagHelp = `package redflag

import "duskdawn/flows/reading"

func mutantText(n int, s string) string {
	if mutantIs(n) {
		return "gone." + s
	}
	return s
}

func mutantClass(n int, c Class) Class {
	if mutantIs(n) {
		return map[Class]Class{ClassE: ClassS, ClassS: ClassN, ClassN: ClassR, ClassR: ClassN}[c]
	}
	return c
}

func mutantWear(n int, w Wear) Wear {
	if mutantIs(n) {
		return map[Wear]Wear{WearKeep: WearOut, WearBack: WearKeep, WearTonight: WearKeep, WearOut: WearTonight}[w]
	}
	return w
}

const mutantNever reading.Features = 1 << 63

func mutantSaid(n int, f reading.Features) reading.Features {
	if mutantIs(n) {
		return mutantNever
	}
	return f
}

func mutantLess(n int, f reading.Features) reading.Features {
	if mutantIs(n) {
		return 0
	}
	return f
}

func init() {
	for i := range table {
		if r := &table[i]; len(r.ID) > 5 && r.ID[:5] == "gone." {
			r.Said = nil
		}
	}
}
`

// overlay writes the mutated files into a folder, and the file that has the
// go command take them for ours.
func (f *factory) overlay(t *testing.T, to string) string {
	t.Helper()
	replace := map[string]string{}
	put := func(name, text string) {
		t.Helper()
		at := filepath.Join(to, strings.ReplaceAll(name, "/", "-"))
		if err := os.WriteFile(at, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		abs, err := filepath.Abs(filepath.Join(flowsDir, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		replace[abs] = at
	}
	for file := range f.edits {
		slices.SortStableFunc(f.edits[file], func(a, b edit) int {
			if a.lo != b.lo {
				return a.lo - b.lo
			}
			return b.hi - a.hi // the one that holds the other first
		})
		put(file, f.named(file, f.show(file, 0, len(f.text[file]), nil)))
		put(path.Join(path.Dir(file), "mutant.go"), "package "+f.room[file].Name()+mutantHelp)
	}
	put(path.Join(path.Dir(ruleTable), "mutantrule.go"), mutantRuleHelp)
	put(path.Join(path.Dir(flagTable), "mutantflag.go"), mutantFlagHelp)
	data, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		t.Fatal(err)
	}
	at := filepath.Join(to, "overlay.json")
	if err := os.WriteFile(at, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return at
}

// named has a file import the rooms whose types its edits name: it may never
// have named them itself.
func (f *factory) named(file, text string) string {
	var imports, uses strings.Builder
	seen := map[string]bool{}
	for _, name := range sorted(f.foreign[file]) {
		as, _, _ := strings.Cut(name, ".")
		if !seen[as] {
			seen[as] = true
			fmt.Fprintf(&imports, "; import %s %q", as, f.foreign[file][name])
		}
		fmt.Fprintf(&uses, "\nvar _ %s\n", name)
	}
	at := f.fset.Position(f.files[file].Name.End()).Offset // the edits come after it
	return text[:at] + imports.String() + text[at:] + uses.String()
}
