package shape

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// pureStd are the packages of others that the core may import. fmt is for
// errors and Stringers; time is for values only.
var pureStd = []string{"bufio", "cmp", "encoding/csv", "errors", "fmt", "io", "iter", "maps", "math", "math/bits",
	"math/rand/v2", "slices", "sort", "strconv", "strings", "time", "unicode", "unicode/utf8",
	"gonum.org/v1/gonum/stat/distuv"}

// ioStd are allowed where text is read or numbers are drawn from a seed that
// is a value, and nowhere else.
var ioStd = map[string][]string{
	"bufio":        {"replay"},
	"io":           {"replay", "cohort"},
	"encoding/csv": {"replay"},
	"math/rand/v2": {"cohort"},

	"gonum.org/v1/gonum/stat/distuv": {"estimate"}, // densities and quantiles; nothing is drawn
}

// bannedTime are the parts of package time that ask a clock, wait or know zones.
var bannedTime = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker",
	"LoadLocation", "LoadLocationFromTZData", "Local", "FixedZone"}

// textFiles hold text for who reads the source, a diary's file or a report of a
// cohort. What a person is told in a talk is a key, everywhere else.
var textFiles = []string{"flows/evidence/", "flows/cohort/", "flows/replay/", "flows/chart/column.go"}

// textColumns are columns of tables that list ids, one after the other.
var textColumns = []string{"source", "fields", "figures"}

// sentence finds two words.
var sentence = regexp.MustCompile(`[A-Za-z]{2,} [A-Za-z]{2,}`)

// TestPure keeps flows and its rooms pure: no input or output, no clock, no
// goroutine, no chance, no text.
func TestPure(t *testing.T) {
	s := readSources(t, module+"flows/...")
	if len(s.files) < 90 {
		t.Errorf("only %d files were looked at", len(s.files))
	}
	for _, pkg := range s.pkgs {
		for _, wrong := range impure(s, pkg) {
			t.Error(wrong)
		}
	}
}

// impure tells what in a package does more than reckon.
func impure(s *sources, pkg *types.Package) (wrong []string) {
	say := func(n ast.Node, format string, args ...any) {
		wrong = append(wrong, fmt.Sprintf("%s: ", s.fset.Position(n.Pos()))+fmt.Sprintf(format, args...))
	}
	for _, file := range s.names[pkg] {
		for _, i := range s.files[file].Imports {
			name, _ := strconv.Unquote(i.Path.Value)
			if strings.HasPrefix(name, module+"flows") {
				continue
			}
			if only, ok := ioStd[name]; ok && !slices.Contains(only, pkg.Name()) || !slices.Contains(pureStd, name) {
				say(i, "imports %s", name)
			}
		}
		var utc ast.Expr // what was just made a time of no zone
		ast.Inspect(s.files[file], func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.GoStmt:
				say(n, "a goroutine")
			case *ast.ChanType:
				say(n, "a channel")
			case *ast.RangeStmt:
				if _, ok := s.info.TypeOf(n.X).Underlying().(*types.Map); ok {
					say(n, "a map is walked in an order that differs from run to run")
				}
			case *ast.CallExpr:
				if x, ok := n.Fun.(*ast.SelectorExpr); ok && x.Sel.Name == "UTC" {
					utc = x.X
				}
				if isTime(s, n.Fun, "Date") && !isTime(s, n.Args[7], "UTC") || isTime(s, n.Fun, "Unix") && n != utc {
					say(n, "a time in a zone")
				}
			case *ast.Ident:
				if what := impureName(s.info.Uses[n]); what != "" {
					say(n, "%s", what)
				}
			case *ast.KeyValueExpr:
				if key, ok := n.Key.(*ast.Ident); ok && slices.Contains(textColumns, key.Name) {
					return false
				}
			case *ast.BasicLit:
				if n.Kind == token.STRING && sentence.MatchString(n.Value) && !isBasis(s.info.TypeOf(n)) &&
					!slices.ContainsFunc(textFiles, func(in string) bool { return strings.HasPrefix(file, in) }) {
					say(n, "text: %s", n.Value)
				}
			}
			return true
		})
	}
	return wrong
}

// isBasis reports whether a literal of this type lists claims.
func isBasis(of types.Type) bool {
	return of != nil && of.String() == module+"flows/evidence.Basis"
}

// isTime reports whether an expression names this function of package time.
func isTime(s *sources, e ast.Expr, name string) bool {
	x, ok := e.(*ast.SelectorExpr)
	if !ok {
		return false
	}
	o := s.info.Uses[x.Sel]
	return o != nil && o.Pkg() != nil && o.Pkg().Path() == "time" && o.Name() == name && o.Parent() == o.Pkg().Scope()
}

// impureName tells what is wrong with using a name; empty where nothing is.
func impureName(o types.Object) string {
	switch b, ok := o.(*types.Builtin); {
	case ok && (b.Name() == "print" || b.Name() == "println"):
		return b.Name()
	case o == nil || o.Pkg() == nil:
		return ""
	}
	free := o.Parent() == o.Pkg().Scope() // no method, no field
	switch path := o.Pkg().Path(); {
	case path == "time" && (slices.Contains(bannedTime, o.Name()) && free || o.Name() == "Local"):
		return "time." + o.Name()
	case strings.HasPrefix(path, "math/rand") && free && !strings.HasPrefix(o.Name(), "New"):
		if _, ok := o.(*types.Func); ok {
			return "rand." + o.Name() + " draws what nobody can draw again"
		}
	}
	return ""
}

// Each thing that would make a flow depend on more than its arguments is told.
func TestPureRefuses(t *testing.T) {
	s := readSources(t, "io", "os", "time", module+"bot/logs")
	for _, c := range []struct{ text, want string }{
		{`import "time"; func f(at time.Time) time.Time { return at.AddDate(0, 0, 1).UTC() }`, ""},
		{`import "time"; func f() time.Time { return time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC) }`, ""},
		{`type T struct{ source string }; func f() any { return T{source: "one two"} }`, ""},
		{`func f(m map[int]int) int { return m[1] + len(m) }`, ""},
		{`import clock "time"; func f() any { return clock.Now() }`, "time.Now"},
		{`import . "time"; func f() any { return Now() }`, "time.Now"},
		{`import "time"; func f() any { return time.Unix(1, 0).UTC() }`, ""},
		{`import "time"; func f() any { return time.Unix(1, 0) }`, "a time in a zone"},
		{`import "time"; func f(at time.Time) any { return at.Local() }`, "time.Local"},
		{`import "time"; func f(z *time.Location) any { return time.Date(2026, 1, 1, 0, 0, 0, 0, z) }`, "a time in a zone"},
		{`import "os"; func f() { os.Exit(1) }`, "imports os"},
		{`import "io"; func f(w io.Writer) {}`, "imports io"},
		{`import _ "duskdawn/bot/logs"`, "imports duskdawn/bot/logs"},
		{`func f() { println(1) }`, "println"},
		{`func f() { go f() }`, "a goroutine"},
		{`func f(c chan int) {}`, "a channel"},
		{`func f(m map[int]int) (n int) { for k := range m { n = k }; return n }`, "a map is walked"},
		{`func f() string { return "well done" }`, `text: "well done"`},
	} {
		if err := s.add("small", map[string]string{"small.go": "package small; " + c.text}); err != nil {
			t.Fatal(err)
		}
		wrong := impure(s, s.pkgs[len(s.pkgs)-1])
		if c.want == "" && len(wrong) > 0 || c.want != "" && (len(wrong) != 1 || !strings.Contains(wrong[0], ": "+c.want)) {
			t.Errorf("%s: %q, want %q", c.text, wrong, c.want)
		}
	}
}

// chatWords are the nouns that bot/chat may not name: it encodes and decodes,
// it decides nothing.
var chatWords = []string{"State", "Class", "Role", "Rule"}

// TestChatDecidesNothing keeps states, classes, roles and rules out of bot/chat.
func TestChatDecidesNothing(t *testing.T) {
	paths, err := filepath.Glob("../chat/*.go")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no files: %v", err)
	}
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok && slices.Contains(chatWords, s.Sel.Name) {
				t.Errorf("%s: .%s", fset.Position(n.Pos()), s.Sel.Name)
			}
			return true
		})
	}
}
