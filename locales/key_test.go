package locales

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"duskdawn/flows/redflag"
)

var keyLike = regexp.MustCompile(`^[a-z]+(\.[a-z0-9_]+)+$`)

// fileEndings are dotted names that are no keys.
var fileEndings = []string{".csv", ".toml", ".db", ".txt", ".json", ".svg", ".png", ".go"}

// literals gives every string in the program's sources that looks like a key,
// with the place it stands at.
func literals(t *testing.T, dirs ...string) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, dir := range dirs {
		err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
				return err
			}
			set := token.NewFileSet()
			file, err := parser.ParseFile(set, name, nil, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			ast.Inspect(file, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.ImportSpec:
					return false
				case *ast.BinaryExpr: // nor is the kind of one, which somebody reads
					if s, ok := n.X.(*ast.SelectorExpr); ok && s.Sel.Name == "What" {
						return false
					}
				case *ast.CallExpr: // a line of the journal is no text
					if f, ok := n.Fun.(*ast.SelectorExpr); ok && f.Sel.Name == "log" {
						return false
					}
				}
				lit, ok := n.(*ast.BasicLit)
				if !ok || lit.Kind != token.STRING {
					return true
				}
				s, err := strconv.Unquote(lit.Value)
				if err != nil || !keyLike.MatchString(s) {
					return true
				}
				for _, end := range fileEndings {
					if strings.HasSuffix(s, end) {
						return true
					}
				}
				out[s] = set.Position(lit.Pos()).String()
				return true
			})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// Every key that stands in the program's sources has a text. A string counts as
// a key where its first word begins the keys of some catalogue.
func TestKeysInCodeHaveTexts(t *testing.T) {
	w := load(t)
	keys := w.tongues[Source].keys
	topics := map[string]bool{}
	for k := range keys {
		first, _, _ := strings.Cut(k, ".")
		topics[first] = true
	}
	dirs := []string{"."}
	for _, dir := range []string{"../flows", "../scheduler", "../bot"} {
		if _, err := os.Stat(dir); err == nil {
			dirs = append(dirs, dir)
		}
	}
	checked := 0
	for s, at := range literals(t, dirs...) {
		first, _, _ := strings.Cut(s, ".")
		if !topics[first] || keys["flag."+s+".name"] { // the id of a flag is no key
			continue
		}
		checked++
		if !keys[s] {
			t.Errorf("%s: %q has no text", at, s)
		}
	}
	if checked < 50 {
		t.Errorf("only %d keys found in the sources", checked)
	}
}

// A flag's texts belong to a row of the table: one that was renamed or taken out
// leaves none behind.
func TestFlagTextsHaveTheirRow(t *testing.T) {
	checked := 0
	for k := range load(t).tongues[Source].keys {
		if id, named := strings.CutSuffix(strings.TrimPrefix(k, "flag."), ".name"); named && strings.HasPrefix(k, "flag.") {
			checked++
			if redflag.Find(id) == nil {
				t.Errorf("%q names no flag", k)
			}
		}
	}
	if checked < len(redflag.Rows()) {
		t.Errorf("only %d names of %d flags", checked, len(redflag.Rows()))
	}
}
