package basis

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/locales"
)

// module is the path of our module; its root is two folders up.
const module = "duskdawn"

// testLog names the file with what `go test -json ./...` printed.
const testLog = "DUSKDAWN_TESTLOG"

func hazards(t *testing.T) []Hazard {
	t.Helper()
	hs, err := Hazards()
	if err != nil {
		t.Fatal(err)
	}
	return hs
}

// Every row is whole, in every language.
func TestHazardsAreWhole(t *testing.T) {
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	hs := hazards(t)
	if len(hs) < 29 {
		t.Errorf("%d hazards", len(hs))
	}
	for i, h := range hs {
		if want := fmt.Sprintf("H%d", i+1); h.ID != want {
			t.Errorf("%s stands where %s should", h.ID, want)
		}
		for _, r := range []Risk{h.Before, h.After} {
			if !slices.Contains(Severities[:], r.Severity) || !slices.Contains(Likelihoods[:], r.Likelihood) {
				t.Errorf("%s: %+v", h.ID, r)
			}
		}
		if worse(h.After, h.Before) {
			t.Errorf("%s: controls make it worse: %+v, %+v", h.ID, h.Before, h.After)
		}
		if !slices.Contains([]string{"software", "practice", "both"}, h.Owner) {
			t.Errorf("%s: owner %q", h.ID, h.Owner)
		}
		if people := slices.ContainsFunc(h.Controls, func(c Control) bool { return c.People }); people &&
			h.Owner == "software" {
			t.Errorf("%s: people share in its controls, and only the program owns it", h.ID)
		}
		if len(h.Controls) == 0 {
			t.Errorf("%s has no control", h.ID)
		}
		for _, lang := range words.Languages() {
			if w := h.Words[lang]; w.Name == "" || w.Cause == "" || w.Effect == "" || w.Harm == "" {
				t.Errorf("%s is not whole in %s", h.ID, lang)
			}
			for _, c := range h.Controls {
				if c.Words[lang] == "" {
					t.Errorf("%s: a control has no words in %s", h.ID, lang)
				}
			}
		}
		if _, err := civil.ParseDate(h.Review); err != nil {
			t.Errorf("%s: to be reviewed on %q", h.ID, h.Review)
		}
		if h.Accepts() == "nobody" || h.After.Level() > h.Before.Level() || h.After.Level() == 0 {
			t.Errorf("%s: nobody may accept %+v", h.ID, h.After)
		}
		for _, c := range h.Controls {
			if !slices.Contains(Kinds[:], c.Kind) {
				t.Errorf("%s: a control is %q", h.ID, c.Kind)
			}
			if c.People && len(c.Tests) > 0 {
				t.Errorf("%s: a control of people and of tests", h.ID)
			}
			if c.Open() {
				t.Logf("%s: shown by no test yet: %s", h.ID, c.Words[locales.Source])
			}
		}
	}
}

// The corners of the matrix, and that a worse degree is never a lower level (guidance to DCB0129, from memory).
func TestMatrix(t *testing.T) {
	for _, x := range []struct {
		s, l string
		want int
	}{{"minor", "very-low", 1}, {"minor", "very-high", 3}, {"catastrophic", "very-low", 3}, {"catastrophic", "very-high", 5},
		{"considerable", "medium", 3}, {"major", "low", 3}, {"minor", "never", 0}} {
		if got := (Risk{x.s, x.l}).Level(); got != x.want {
			t.Errorf("%s, %s: %d, want %d", x.s, x.l, got, x.want)
		}
	}
	for s := range Severities {
		for l := range Likelihoods {
			if s > 0 && matrix[s][l] < matrix[s-1][l] || l > 0 && matrix[s][l] < matrix[s][l-1] {
				t.Errorf("%s, %s is lower than a lesser one", Severities[s], Likelihoods[l])
			}
		}
	}
}

func worse(a, b Risk) bool {
	return slices.Index(Severities[:], a.Severity) > slices.Index(Severities[:], b.Severity) ||
		slices.Index(Likelihoods[:], a.Likelihood) > slices.Index(Likelihoods[:], b.Likelihood)
}

// Every test that the log names is there.
func TestHazardsNameTestsThatExist(t *testing.T) {
	found := map[string]map[string]bool{}
	for _, h := range hazards(t) {
		for _, c := range h.Controls {
			for _, test := range c.Tests {
				if found[test.Package] == nil {
					found[test.Package] = testsOf(t, test.Package)
				}
				if !found[test.Package][test.Func()] {
					t.Errorf("%s: there is no %s", h.ID, test)
				}
			}
		}
	}
	if found["flows"]["TestThatIsNotThere"] || !found["flows/pacing"]["TestGuard"] {
		t.Error("the search for tests finds what is not there, or not what is")
	}
}

// testsOf lists the tests of a package by parsing its files.
func testsOf(t *testing.T, pkg string) map[string]bool {
	t.Helper()
	names, err := filepath.Glob(filepath.Join("../..", filepath.FromSlash(pkg), "*_test.go"))
	if err != nil || len(names) == 0 {
		t.Fatalf("%s has no tests: %v", pkg, err)
	}
	out := map[string]bool{}
	for _, name := range names {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil {
				out[fn.Name.Name] = true
			}
		}
	}
	return out
}

// Every test that the log names ran and passed, in the run whose log the
// environment names. Without one there is nothing to look at.
func TestHazardsNameTestsThatRan(t *testing.T) {
	name := os.Getenv(testLog)
	if name == "" {
		t.Skip("no log of a test run: " + testLog + " is not set")
	}
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	ran, err := ReadRan(f, module)
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range ran.Missing(hazards(t)) {
		t.Error(bad)
	}
}

// A test that was skipped, failed or never ran is told; one that passed is not.
func TestMissing(t *testing.T) {
	hs := []Hazard{{ID: "H1", Controls: []Control{{Tests: []Test{{"flows", "TestA"}, {"flows", "TestB"},
		{"flows", "TestC"}, {"store/sqlite", "TestD/Part"}, {"flows", "TestE"}}}}}}
	log := `{"Action":"start","Package":"duskdawn/flows"}
{"Action":"run","Package":"duskdawn/flows","Test":"TestA"}
{"Action":"output","Package":"duskdawn/flows","Test":"TestA","Output":"text\n"}
{"Action":"pass","Package":"duskdawn/flows","Test":"TestA"}
{"Action":"skip","Package":"duskdawn/flows","Test":"TestB"}
{"Action":"fail","Package":"duskdawn/flows","Test":"TestC"}
{"Action":"pass","Package":"duskdawn/store/sqlite","Test":"TestD/Part"}
{"Action":"run","Package":"duskdawn/flows","Test":"TestE"}
{"Action":"pass","Package":"duskdawn/flows"}`
	ran, err := ReadRan(strings.NewReader(log), module)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"H1: flows TestB: skip", "H1: flows TestC: fail", "H1: flows TestE did not run"}
	if got := ran.Missing(hs); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if _, err := ReadRan(strings.NewReader("ok duskdawn/flows"), module); err == nil {
		t.Error("what is no log was read")
	}
}
