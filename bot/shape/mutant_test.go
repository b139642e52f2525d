package shape

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"duskdawn/flows/pacing"
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
	"pacing/guard.go", "pacing/assessment.go", "pacing/ruleeffects.go", "pacing/snorescores.go", "pacing/window.go", "pacing/confirm.go",
	"pacing/redflag.go", "pacing/answer.go", "redflag/flagtable.go", "chart/advice.go", "chart/judged.go",
	"chart/adherence.go", "outcome/outcome.go"}

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

// ruleTable is where the pacing rules are listed.
const ruleTable = "pacing/rules.go"

// rows takes each rule away, what follows of it, and each thing that its row
// says of it; and has a person of a lesser role look at it.
func (f *factory) rows(t *testing.T) {
	rows := 0
	ast.Inspect(f.files[ruleTable], func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || spec.Names[0].Name != "table" {
			return true
		}
		for _, at := range spec.Values[0].(*ast.CompositeLit).Elts {
			at := at.(*ast.KeyValueExpr)
			rule := at.Key.(*ast.Ident).Name
			for _, kv := range at.Value.(*ast.CompositeLit).Elts {
				kv := kv.(*ast.KeyValueExpr)
				switch column := kv.Key.(*ast.Ident).Name; column {
				case "ask":
					rows++
					f.wrap(ruleTable, kv.Value, "mutantAsk", f.add("row", ruleTable, at, rule+" taken away"))
				case "role":
					f.number("row", ruleTable, kv.Value, []ast.Node{kv}, -1)
				case "then", "known", "doubt", "back", "review", "alone", "always":
					f.wrap(ruleTable, kv.Value, "mutantNone", f.add("row", ruleTable, kv, rule+": "+f.source(ruleTable, kv)+
						" taken away"))
				}
			}
		}
		return false
	})
	if rows != len(pacing.Rules()) {
		t.Fatalf("of %d rules %d were found in the table", len(pacing.Rules()), rows)
	}
}

// flagTable is where the red flags are listed.
const flagTable = "redflag/flagtable.go"

// flagRows takes each red flag away, each combination that raises one, and
// makes it a class less urgent, and less careful of wear.
func (f *factory) flagRows(file string) {
	if file != flagTable {
		return
	}
	for _, d := range f.files[file].Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.VAR {
			continue
		}
		for _, row := range g.Specs[0].(*ast.ValueSpec).Values[0].(*ast.CompositeLit).Elts {
			id := ""
			for _, kv := range row.(*ast.CompositeLit).Elts {
				kv := kv.(*ast.KeyValueExpr)
				switch kv.Key.(*ast.Ident).Name {
				case "ID":
					id, _ = strconv.Unquote(kv.Value.(*ast.BasicLit).Value)
					f.wrap(file, kv.Value, "mutantText", f.add("row", file, row, id+" taken away"))
				case "Class", "Driver":
					f.wrap(file, kv.Value, "mutantClass", f.add("row", file, kv, id+": "+f.source(file, kv)+", one less urgent"))
				case "Wear":
					f.wrap(file, kv.Value, "mutantWear", f.add("row", file, kv, id+": "+f.source(file, kv)+", another"))
				case "Said":
					for _, combo := range kv.Value.(*ast.CompositeLit).Elts {
						f.wrap(file, combo, "mutantSaid", f.add("row", file, combo, id+": "+f.source(file, combo)+" not heard"))
					}
				case "Reached", "Before", "Ruled":
					f.wrap(file, kv.Value, "mutantNone", f.add("row", file, kv, id+": "+f.source(file, kv)+" taken away"))
				case "Less":
					f.wrap(file, kv.Value, "mutantLess", f.add("row", file, kv, id+": "+f.source(file, kv)+" not heeded"))
				}
			}
		}
	}
}

func (f *factory) wrap(file string, n ast.Node, with string, k int) {
	lo, hi := f.span(n)
	f.edit(file, n, func(show func(int, int) string) string { return fmt.Sprintf("%s(%d, %s)", with, k, show(lo, hi)) })
}

// declared notes the constants that are moved: numbers with a name.
func (f *factory) declared() {
	for _, file := range sorted(f.files) {
		for _, d := range f.files[file].Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.CONST {
				continue
			}
			for _, s := range g.Specs {
				v := s.(*ast.ValueSpec)
				for i, name := range v.Names {
					if i >= len(v.Values) || !slices.Contains(mutatedConsts, name.Name) && !slices.Contains(mutated, file) {
						continue
					}
					if lit, ok := v.Values[i].(*ast.BasicLit); ok && lit.Kind == token.INT {
						f.consts[f.info.Defs[name]] = f.add("bound", file, v, name.Name+" + 1")
						f.add("bound", file, v, name.Name+" - 1")
					}
				}
			}
		}
	}
}

// uses moves the named numbers wherever they are used.
func (f *factory) uses(file string) {
	f.walk(file, func(n ast.Node, parents []ast.Node) {
		e, ok := n.(ast.Expr)
		if !ok || f.moved(e) == 0 || fixed(parents) {
			return
		}
		if up, ok := parents[len(parents)-1].(*ast.SelectorExpr); ok && up.Sel == e {
			return // the whole of it is moved
		}
		k, as, src := f.moved(e), f.typeOf(file, e, parents), f.source(file, e)
		f.edit(file, e, func(func(int, int) string) string {
			return fmt.Sprintf("mutantNumber(%d, %d, %s(%s))", k, k+1, as, src)
		})
	})
}

// bounds moves the numbers of a file by one, up and down, and turns the
// boundary of each comparison between two things that are no numbers.
func (f *factory) bounds(file string) {
	f.walk(file, func(n ast.Node, parents []ast.Node) {
		if fixed(parents) || len(parents) == 0 {
			return
		}
		up := parents[len(parents)-1]
		switch n := n.(type) {
		case *ast.BasicLit:
			if n.Kind == token.INT && counts(n, up) {
				f.number("bound", file, n, parents, 0)
			}
		case *ast.BinaryExpr:
			switch n.Op {
			case token.LSS, token.LEQ, token.GTR, token.GEQ:
			default:
				return
			}
			if f.isNumber(n.X) || f.isNumber(n.Y) {
				return // moved by one, which is the same
			}
			k := f.add("bound", file, n, f.source(file, n)+" turned where both are equal")
			xlo, xhi := f.span(n.X)
			ylo, yhi := f.span(n.Y)
			f.edit(file, n, func(show func(int, int) string) string {
				x, y := show(xlo, xhi), show(ylo, yhi)
				return fmt.Sprintf("((%s %s %s) != (mutantIs(%d) && (%s) == (%s)))", x, n.Op, y, k, x, y)
			})
		}
	})
}

// isNumber reports whether an operand is a number as written, or by name.
func (f *factory) isNumber(e ast.Expr) bool {
	if _, ok := e.(*ast.BasicLit); ok {
		return true
	}
	return f.moved(e) != 0
}

// number moves one number up and down, or by one way alone.
func (f *factory) number(kind, file string, n ast.Expr, parents []ast.Node, way int) {
	src := f.source(file, n)
	in := f.source(file, parents[len(parents)-1])
	a, b := -1, -1
	if way >= 0 {
		a = f.add(kind, file, n, fmt.Sprintf("%s: %s + 1", in, src))
	}
	if way <= 0 {
		b = f.add(kind, file, n, fmt.Sprintf("%s: %s - 1", in, src))
	}
	as := f.typeOf(file, n, parents)
	f.edit(file, n, func(func(int, int) string) string {
		return fmt.Sprintf("mutantNumber(%d, %d, %s(%s))", a, b, as, src)
	})
}

// counts reports whether a literal is a bound or an amount: compared, added,
// taken the least or most of, or said in a table.
func counts(n *ast.BasicLit, up ast.Node) bool {
	switch up := up.(type) {
	case *ast.BinaryExpr:
		switch up.Op {
		case token.LSS, token.LEQ, token.GTR, token.GEQ, token.ADD, token.SUB, token.MUL:
			return true
		}
	case *ast.CallExpr:
		return up.Fun != n
	case *ast.KeyValueExpr:
		key, _ := up.Key.(*ast.Ident)
		return up.Value == n && key != nil && key.Name != "ID"
	}
	return false
}

// fixed reports whether a place needs a constant, or holds none of our bounds.
func fixed(parents []ast.Node) bool {
	for _, p := range parents {
		switch p := p.(type) {
		case *ast.GenDecl:
			if p.Tok == token.CONST {
				return true
			}
		case *ast.ArrayType:
			return true
		case *ast.BinaryExpr:
			if p.Op == token.SHL || p.Op == token.SHR || p.Op == token.AND || p.Op == token.OR {
				return true
			}
		}
	}
	return false
}

// typeOf is the type that a number has in the end, as one writes it: where it
// is part of a constant expression, that of the whole.
func (f *factory) typeOf(file string, e ast.Expr, parents []ast.Node) string {
	t := f.info.Types[e].Type
	for i := len(parents) - 1; i >= 0 && t == types.Typ[types.UntypedInt]; i-- {
		whole, ok := parents[i].(ast.Expr)
		if !ok || f.info.Types[whole].Value == nil {
			break
		}
		t = f.info.Types[whole].Type
	}
	if t == nil || t == types.Typ[types.UntypedInt] {
		return "int"
	}
	return types.TypeString(t, func(p *types.Package) string {
		if p == f.room[file] {
			return ""
		}
		if f.foreign[file] == nil {
			f.foreign[file] = map[string]string{}
		}
		as := "mutant" + p.Name()
		f.foreign[file][as+"."+t.(*types.Named).Obj().Name()] = p.Path()
		return as
	})
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
