package shape

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"testing"
)

// module is the path of our module, and root where it lies.
const module, root = "duskdawn/", "../.."

// sources are packages of ours, parsed and type-checked, the lowest first. A
// file goes by its path in the module.
type sources struct {
	fset  *token.FileSet
	info  *types.Info
	pkgs  []*types.Package
	names map[*types.Package][]string // the files of each
	tests map[*types.Package]bool     // whether it has tests
	files map[string]*ast.File
	text  map[string][]byte
	built map[string]string // the compiled package of each path that is not ours
	other types.Importer    // reads these
}

func newSources() *sources {
	s := &sources{fset: token.NewFileSet(), names: map[*types.Package][]string{}, tests: map[*types.Package]bool{},
		files: map[string]*ast.File{}, text: map[string][]byte{}, built: map[string]string{}, info: &types.Info{
			Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}}
	open := func(path string) (io.ReadCloser, error) { return os.Open(s.built[path]) }
	s.other = importer.ForCompiler(s.fset, "gc", open)
	return s
}

// readSources reads what the go command finds by patterns of packages, with
// all of ours that these import.
func readSources(t testing.TB, patterns ...string) *sources {
	t.Helper()
	s := newSources()
	out, err := exec.Command("go", append([]string{"list", "-export", "-deps",
		"-json=ImportPath,Export,GoFiles,TestGoFiles,XTestGoFiles"}, patterns...)...).Output()
	if err != nil {
		t.Fatal(err)
	}
	for dec := json.NewDecoder(bytes.NewReader(out)); ; { // what is imported comes before what imports it
		var p struct {
			ImportPath, Export                 string
			GoFiles, TestGoFiles, XTestGoFiles []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return s
		} else if err != nil {
			t.Fatal(err)
		}
		in, ours := strings.CutPrefix(p.ImportPath, module)
		if !ours {
			s.built[p.ImportPath] = p.Export
			continue
		}
		texts := map[string]string{}
		for _, base := range p.GoFiles {
			name := path.Join(in, base)
			text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
			if err != nil {
				t.Fatal(err)
			}
			texts[name] = string(text)
		}
		if err := s.add(p.ImportPath, texts); err != nil {
			t.Fatal(err)
		}
		s.tests[s.pkgs[len(s.pkgs)-1]] = len(p.TestGoFiles)+len(p.XTestGoFiles) > 0
	}
}

// add parses and type-checks the files of a package whose imports are there.
func (s *sources) add(pkgPath string, texts map[string]string) error {
	var all []*ast.File
	names := sorted(texts)
	for _, name := range names {
		file, err := parser.ParseFile(s.fset, name, texts[name], parser.ParseComments)
		if err != nil {
			return err
		}
		s.files[name], s.text[name] = file, []byte(texts[name])
		all = append(all, file)
	}
	pkg, err := (&types.Config{Importer: s}).Check(pkgPath, s.fset, all, s.info)
	if err != nil {
		return err
	}
	s.pkgs, s.names[pkg] = append(s.pkgs, pkg), names
	return nil
}

// Import finds a package of ours among those read, and any other as compiled.
func (s *sources) Import(path string) (*types.Package, error) {
	for _, pkg := range s.pkgs {
		if pkg.Path() == path {
			return pkg, nil
		}
	}
	return s.other.Import(path)
}
