package shape

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A mutant is the program with one thing wrong. All of them are built into the
// test binaries of flows and its rooms, and a number in the environment says
// which of them they are: a build each would take hours.
//
// What every plain test of flows lets pass fails with its file and line, unless
// equal_test.go says why no test can tell it from the program; such a one is
// tried by the drawn courses and every talk, too, and fails where one of them
// tells it.

// mutantVar holds the number of the mutant that a built binary is.
const mutantVar = "DUSKDAWN_MUTANT"

// mutated are the files of the rooms that decide what is advised, raised and
// reckoned. In them every number and bound that a clinician could care about
// is moved.
var mutated = []string{"pacing/rules.go", "pacing/rulessore.go", "pacing/rulesstep.go", "pacing/pacing.go",
	"pacing/guard.go", "pacing/assessment.go", "pacing/ruleeffects.go", "pacing/snorescores.go", "pacing/window.go",
	"pacing/confirm.go", "pacing/redflag.go", "pacing/answer.go", "pacing/clinician.go", "pacing/course.go", "pacing/relapse.go",
	"redflag/threshold.go", "redflag/flagtable.go", "chart/advice.go", "chart/judged.go", "chart/adherence.go",
	"chart/position.go", "outcome/outcome.go", "relapse/relapse.go",
	"escalation.go", "escalation_after.go", "escalation_call.go", "escalation_item.go", "escalation_open.go", "escalation_ring.go",
	"escalation_urgent.go"}

// mutatedConsts are moved, too, though they are declared elsewhere.
var mutatedConsts = []string{"BiteMidday", "TopPace", "HalfRange", "MostRange", "PlanNights", "BigStep"}

// beside are the rooms that play the talk or reckon beside it, and decide
// nothing in it.
var beside = []string{"desk", "replay", "cohort", "estimate"}

// mutant is one thing wrong.
type mutant struct {
	n    int
	file string
	kind string // "row", or "bound"
	at   string // file:line, for people
	name string // the same whatever the line, for the list of equals
}

// factory makes mutants of flows and its rooms. A file goes by its path there.
type factory struct {
	info    *types.Info
	fset    *token.FileSet
	rooms   []*types.Package // the lowest first
	files   map[string]*ast.File
	text    map[string][]byte
	room    map[string]*types.Package // of each file
	tests   map[*types.Package]bool   // whether it has tests
	consts  map[types.Object]int      // the mutant of each constant that is moved
	mutants []mutant
	edits   map[string][]edit
	foreign map[string]map[string]string // by file: types of other rooms that its edits name, with their room
	names   map[string]int
}

// edit replaces a piece of a file. The replacement may show pieces of the old
// text, with the edits inside them made.
type edit struct {
	lo, hi int
	make   func(show func(lo, hi int) string) string
}

// flowsPath is where the rooms of flows are, in the module; flowsDir on disk.
const flowsPath, flowsDir = "duskdawn/flows", "../../flows"

// newFactory reads flows and its rooms.
func newFactory(t *testing.T) *factory {
	t.Helper()
	read := readSources(t, flowsPath+"/...")
	f := &factory{info: read.info, fset: read.fset, tests: read.tests, files: map[string]*ast.File{},
		text: map[string][]byte{}, room: map[string]*types.Package{}, consts: map[types.Object]int{},
		edits: map[string][]edit{}, foreign: map[string]map[string]string{}, names: map[string]int{}}
	for _, pkg := range read.pkgs {
		if slices.Contains(beside, pkg.Name()) {
			continue
		}
		f.rooms = append(f.rooms, pkg)
		for _, name := range read.names[pkg] {
			file := strings.TrimPrefix(name, "flows/")
			f.files[file], f.text[file], f.room[file] = read.files[name], read.text[name], pkg
		}
	}
	return f
}

// moved is the mutant of the constant that an expression names, by itself or
// with its package; 0 where it names none that is moved.
func (f *factory) moved(e ast.Expr) int {
	switch e := e.(type) {
	case *ast.Ident:
		return f.consts[f.info.Uses[e]]
	case *ast.SelectorExpr:
		return f.moved(e.Sel)
	}
	return 0
}

// add notes a mutant, and gives its number.
func (f *factory) add(kind, file string, at ast.Node, what string) int {
	n := len(f.mutants) + 1
	p := f.fset.Position(at.Pos())
	name := file + " " + f.within(file, at) + ": " + what
	f.names[name]++
	if k := f.names[name]; k > 1 {
		name += " #" + strconv.Itoa(k)
	}
	f.mutants = append(f.mutants, mutant{n, file, kind, fmt.Sprintf("flows/%s:%d", file, p.Line), name})
	return n
}

// within names the declaration that holds a node.
func (f *factory) within(file string, at ast.Node) string {
	for _, d := range f.files[file].Decls {
		if at.Pos() < d.Pos() || at.End() > d.End() {
			continue
		}
		switch d := d.(type) {
		case *ast.FuncDecl:
			return d.Name.Name
		case *ast.GenDecl:
			if v, ok := d.Specs[0].(*ast.ValueSpec); ok && len(d.Specs) == 1 {
				return v.Names[0].Name
			}
		}
	}
	return "const"
}

// source is a node as written, in one line.
func (f *factory) source(file string, n ast.Node) string {
	lo, hi := f.span(n)
	s := strings.Join(strings.Fields(string(f.text[file][lo:hi])), " ")
	if r := []rune(s); len(r) > 90 {
		s = string(r[:90]) + "…"
	}
	return s
}

func (f *factory) span(n ast.Node) (lo, hi int) {
	return f.fset.Position(n.Pos()).Offset, f.fset.Position(n.End()).Offset
}

func (f *factory) edit(file string, n ast.Node, with func(show func(lo, hi int) string) string) {
	lo, hi := f.span(n)
	f.edits[file] = append(f.edits[file], edit{lo, hi, with})
}

// all makes every mutant.
func (f *factory) all(t *testing.T) {
	f.rows(t)
	f.declared()
	for _, name := range mutatedConsts {
		if !slices.ContainsFunc(f.mutants, func(m mutant) bool { return strings.HasSuffix(m.name, ": "+name+" + 1") }) {
			t.Errorf("there is no number %s to move", name)
		}
	}
	for _, file := range mutated {
		if f.files[file] == nil {
			t.Fatalf("there is no %s", file)
		}
		f.bounds(file)
		f.flagRows(file)
	}
	for _, file := range sorted(f.files) {
		f.uses(file)
	}
}

// walk visits every node of a file with what holds it, outermost first.
func (f *factory) walk(file string, visit func(n ast.Node, parents []ast.Node)) {
	var parents []ast.Node
	ast.Inspect(f.files[file], func(n ast.Node) bool {
		if n == nil {
			parents = parents[:len(parents)-1]
			return true
		}
		visit(n, parents)
		parents = append(parents, n)
		return true
	})
}
