package basis

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
)

//go:embed hazard.toml
var hazardFile string

// Hazard is one row of the log.
type Hazard struct {
	ID       string           `json:"id"`
	Owner    string           `json:"owner"`  // software, practice or both
	Before   Risk             `json:"before"` // the controls
	After    Risk             `json:"after"`
	Words    map[string]Words `json:"words"` // by language
	Controls []Control        `json:"controls"`
	Review   string           `json:"review"` // the day, YYYY-MM-DD, on which the row is looked at again at the latest
}

// Risk is a proposal for the practice's safety officer. Severity is rated as if
// the fault happens, since the likelihood of a software fault is not estimated, and
// for one person: what a death of one is here is less in the guidance.
type Risk struct {
	Severity   string `json:"severity"`
	Likelihood string `json:"likelihood"`
}

// The degrees, the least first.
var (
	Severities  = [...]string{"minor", "significant", "considerable", "major", "catastrophic"}
	Likelihoods = [...]string{"very-low", "low", "medium", "high", "very-high"}
)

// matrix gives a risk's level, 1 to 5, by severity and likelihood, the least
// first: the example matrix of the guidance to DCB0129, from memory.
var matrix = [len(Severities)][len(Likelihoods)]int{
	{1, 1, 2, 2, 3},
	{1, 2, 2, 3, 4},
	{2, 2, 3, 3, 4},
	{2, 3, 3, 4, 5},
	{3, 4, 4, 5, 5},
}

// Level is 1 (acceptable) to 5 (unacceptable); 0 for what is no degree.
func (r Risk) Level() int {
	s, l := slices.Index(Severities[:], r.Severity), slices.Index(Likelihoods[:], r.Likelihood)
	if s < 0 || l < 0 {
		return 0
	}
	return matrix[s][l]
}

// Accepts names who may accept what remains: the safety officer at 1 and 2, with
// the practice's clinical lead at 3, nobody above: it does not go live with it.
func (h Hazard) Accepts() string {
	switch n := h.After.Level(); {
	case n <= 2:
		return "officer"
	case n == 3:
		return "lead"
	}
	return "nobody"
}

// Words tell a hazard in one language.
type Words struct {
	Cause  string `json:"cause"`
	Name   string `json:"name"`
	Effect string `json:"effect"`
	Harm   string `json:"harm"`
}

// Control is what is done against a hazard: by the program, as tests show, or
// by people.
type Control struct {
	Words  map[string]string `json:"words"`
	Kind   string            `json:"kind"` // one of Kinds
	People bool              `json:"people,omitempty"`
	Tests  []Test            `json:"tests,omitempty"` // none, and not by people: shown by no test yet
}

// Kinds are what a control can be, the strongest first.
var Kinds = [...]string{"design", "protective", "information"}

// Open reports whether the program's control is shown by no test.
func (c Control) Open() bool { return !c.People && len(c.Tests) == 0 }

// Status tells how far the controls stand, from the controls themselves:
// "open" where one is shown by no test, "practice" where people share in them,
// else "controlled".
func (h Hazard) Status() string {
	switch {
	case slices.ContainsFunc(h.Controls, Control.Open):
		return "open"
	case slices.ContainsFunc(h.Controls, func(c Control) bool { return c.People }):
		return "practice"
	}
	return "controlled"
}

// Test names a test function, or a part of one: "flows/pacing TestGuard",
// "store/sqlite TestSQLite/Lanes".
type Test struct{ Package, Name string }

func (t Test) String() string { return t.Package + " " + t.Name }

// MarshalText is String, for JSON.
func (t Test) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText reads "package Test".
func (t *Test) UnmarshalText(text []byte) error {
	var ok bool
	if t.Package, t.Name, ok = strings.Cut(string(text), " "); !ok || !strings.HasPrefix(t.Name, "Test") &&
		!strings.HasPrefix(t.Name, "Fuzz") {
		return fmt.Errorf("%q is not \"package Test\"", text)
	}
	return nil
}

// Func is the name of the function that holds the test.
func (t Test) Func() string {
	name, _, _ := strings.Cut(t.Name, "/")
	return name
}

// Hazards reads the log. An error means that the program was built with a
// broken file.
func Hazards() ([]Hazard, error) {
	var file struct {
		Review string
		Hazard []Hazard
	}
	meta, err := toml.Decode(hazardFile, &file)
	if err != nil {
		return nil, fmt.Errorf("reading the hazard log: %w", err)
	}
	if left := meta.Undecoded(); len(left) > 0 {
		return nil, fmt.Errorf("reading the hazard log: unknown key %s", left[0])
	}
	for i := range file.Hazard {
		if file.Hazard[i].Review == "" {
			file.Hazard[i].Review = file.Review
		}
	}
	return file.Hazard, nil
}
