package shape

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
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

// TestPure keeps flows pure: no input or output, no clock, no goroutine, no channel.
func TestPure(t *testing.T) {
	files := 0
	err := filepath.WalkDir("../../flows", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files++
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			return err
		}
		for _, i := range f.Imports {
			name, _ := strconv.Unquote(i.Path.Value)
			if strings.HasPrefix(name, "duskdawn/flows") {
				continue
			}
			if only, ok := ioStd[name]; ok && !slices.Contains(only, f.Name.Name) || !slices.Contains(pureStd, name) {
				t.Errorf("%s imports %s", path, name)
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				t.Errorf("%s: a goroutine", fset.Position(n.Pos()))
			case *ast.ChanType:
				t.Errorf("%s: a channel", fset.Position(n.Pos()))
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && x.Name == "time" && x.Obj == nil && slices.Contains(bannedTime, n.Sel.Name) {
					t.Errorf("%s: time.%s", fset.Position(n.Pos()), n.Sel.Name)
				}
			case *ast.CallExpr:
				if s, ok := n.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == "Date" && len(n.Args) == 8 {
					if z, ok := n.Args[7].(*ast.SelectorExpr); !ok || z.Sel.Name != "UTC" {
						t.Errorf("%s: time.Date in a zone", fset.Position(n.Pos()))
					}
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 10 {
		t.Errorf("only %d files were looked at", files)
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
