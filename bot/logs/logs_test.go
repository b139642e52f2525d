package logs

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"log"
	"log/slog"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const canary = "sore-at-the-left-a-9"

type answer struct{ Text string }

// loud makes its own text for a log.
type loud struct{}

func (loud) LogValue() slog.Value { return slog.StringValue(canary) }

// Nothing that is not listed gets through, whatever way it takes.
func TestOnlyWhatIsListedIsWritten(t *testing.T) {
	var b bytes.Buffer
	l := New(&b)
	l.Error("pass", "part", "timers", "class", "store", "text", canary)
	l.Error("pass", "part", errors.New(canary), "class", answer{canary})
	l.Error("pass", "class", loud{}, "part", &answer{canary})
	l.Error("pass", "class", strings.Repeat("long ", 30)+canary)
	l.Error("pass", slog.Group("class", slog.String("class", canary)))
	l.With("class", canary).Error("pass", "part", "timers")
	l.WithGroup(canary).Error("pass", "part", "timers")
	l.Error("pass", "class", "1000001:a-token-of-the-right-length-0000000")
	l.Error("a line about " + canary)
	l.Error(Unlisted, "source", canary, "count", 3)
	l.Error(fmt.Sprintf("pass %s", canary), "part", "timers")
	Library(l, "http").Printf("panic serving: %s", canary)
	if got := b.String(); strings.Contains(got, canary) || strings.Contains(got, "1000001:") {
		t.Fatalf("it got through:\n%s", got)
	}
	var first map[string]any
	if err := json.Unmarshal([]byte(strings.SplitN(b.String(), "\n", 2)[0]), &first); err != nil {
		t.Fatal(err)
	}
	if len(first) != 5 || first["part"] != "timers" || first["class"] != "store" ||
		!strings.HasSuffix(first["time"].(string), "Z") {
		t.Errorf("a listed line is written as %v", first)
	}
	if n := strings.Count(b.String(), Unlisted); n != 2 || !strings.Contains(b.String(), `"source":"http"`) {
		t.Errorf("%d lines tell of what was dropped:\n%s", n, b.String())
	}
}

// The standard log and the default logger go the same way, and are told of once a minute.
func TestCapture(t *testing.T) {
	var b bytes.Buffer
	release := Capture(New(&b))
	for range 5 {
		log.Printf("redis: %s", canary)
		slog.Error(canary, "key", canary)
	}
	release()
	if strings.Contains(b.String(), canary) || strings.Count(b.String(), "\n") != 1 {
		t.Errorf("it says %s", b.String())
	}
}

// The inventory lists what the program logs, no more and no less: name, level and keys.
func TestTheInventoryIsTrue(t *testing.T) {
	listed := map[string]Event{}
	for _, e := range Events() {
		if _, twice := listed[e.Name]; twice || e.Means == "" || e.Level > slog.LevelInfo && e.Do == "" &&
			e.Name != Unlisted {
			t.Errorf("%q is listed twice, or without what it means or what to do", e.Name)
		}
		listed[e.Name] = e
	}
	levels := map[string]slog.Level{"Debug": slog.LevelDebug, "Info": slog.LevelInfo, "Warn": slog.LevelWarn,
		"Error": slog.LevelError}
	used := map[string]map[string]bool{Unlisted: {"source": true, "count": true}}
	root := filepath.Join("..", "..")
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") ||
			strings.HasPrefix(path, filepath.Join(root, ".ci")) {
			return err
		}
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, path, nil, 0)
		if err != nil {
			return err
		}
		for _, i := range f.Imports {
			if i.Path.Value == `"log"` && f.Name.Name != "logs" {
				t.Errorf("%s uses the standard log", path)
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			c, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			s, ok := c.Fun.(*ast.SelectorExpr)
			if !ok || f.Name.Name == "logs" || !isLog(s.X) {
				return true
			}
			at := set.Position(c.Pos())
			level, ok := levels[s.Sel.Name]
			switch key, _ := first(c.Args); {
			case ok, s.Sel.Name == "With" && key == "source":
			case slices.Contains([]string{"Log", "LogAttrs", "With", "WithGroup", "DebugContext", "InfoContext", "WarnContext",
				"ErrorContext"}, s.Sel.Name):
				t.Errorf("%s: %s is not one of Debug, Info, Warn, Error", at, s.Sel.Name)
			}
			if !ok {
				return true
			}
			name, ok := first(c.Args)
			e, is := listed[name]
			if !ok || !is || e.Level != level || len(c.Args)%2 == 0 {
				t.Errorf("%s: %q at this level is not in the inventory", at, name)
				return true
			}
			if used[name] == nil {
				used[name] = map[string]bool{}
			}
			for i := 1; i < len(c.Args); i += 2 {
				key, ok := literal(c.Args[i])
				if !ok || !slices.Contains(e.Keys, key) {
					t.Errorf("%s: %q has no key %q in the inventory", at, name, key)
				}
				used[name][key] = true
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range Events() {
		for _, k := range e.Keys {
			if !used[e.Name][k] {
				t.Errorf("nothing logs %q with %q", e.Name, k)
			}
		}
		if used[e.Name] == nil {
			t.Errorf("nothing logs %q", e.Name)
		}
	}
}

// isLog reports whether an expression is a logger: log, x.log, slog.Default().
func isLog(x ast.Expr) bool {
	switch x := x.(type) {
	case *ast.Ident:
		return x.Name == "log"
	case *ast.SelectorExpr:
		return x.Sel.Name == "log"
	case *ast.CallExpr:
		s, ok := x.Fun.(*ast.SelectorExpr)
		return ok && (s.Sel.Name == "Default" || s.Sel.Name == "With" && isLog(s.X))
	}
	return false
}

func first(args []ast.Expr) (string, bool) {
	if len(args) == 0 {
		return "", false
	}
	return literal(args[0])
}

func literal(x ast.Expr) (string, bool) {
	b, ok := x.(*ast.BasicLit)
	if !ok || b.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(b.Value)
	return s, err == nil
}
