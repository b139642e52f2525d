package shape

import (
	"crypto/sha256"
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// keyed finds the key of a stored field.
var keyed = regexp.MustCompile(`cbor:"(-|\d+),?(?:keyasint)?[^"]*"`)

// presentForm is the stored form of the program, and of each step of the schema.
func presentForm(t *testing.T) []string {
	t.Helper()
	out, err := storedForm(readSources(t, module+"flows/...", module+"store", module+"store/redis", module+"scheduler"))
	if err != nil {
		t.Fatal(err)
	}
	steps, err := filepath.Glob("../../store/sqlite/schema/*.sql")
	if err != nil || len(steps) == 0 {
		t.Fatal("no schema", err)
	}
	for _, path := range steps {
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, fmt.Sprintf("schema %s %x", filepath.Base(path), sha256.Sum256(raw)))
	}
	return out
}

// storedForm lists each stored field with its key and type, each name whose
// number may be stored, and what kind of number it is. A type goes without its
// package, so that it may move from one room to another; where two that are
// stored have one name, or two fields one key, or two names one number, nobody
// could tell them apart, and that is an error; so is a field without a key among
// such as have one.
func storedForm(s *sources) (out []string, err error) {
	lines := map[string]bool{}
	home := map[string]string{} // the package of each stored type
	for _, pkg := range s.pkgs {
		for _, name := range pkg.Scope().Names() {
			o, ok := pkg.Scope().Lookup(name).(*types.TypeName)
			if !ok || o.IsAlias() {
				continue
			}
			switch u := o.Type().Underlying().(type) {
			case *types.Basic:
				if o.Exported() {
					lines[fmt.Sprintf("type %s %s", name, u)] = true
				}
			case *types.Struct:
				keys, bare := map[string]string{}, ""
				for i := range u.NumFields() {
					f, m := u.Field(i), keyed.FindStringSubmatch(u.Tag(i))
					if m == nil {
						if f.Exported() {
							bare = f.Name()
						}
						continue
					}
					if was, twice := keys[m[1]]; twice && m[1] != "-" {
						return nil, fmt.Errorf("%s and %s of %s.%s have one key, %s", was, f.Name(), pkg.Name(), name, m[1])
					}
					keys[m[1]] = f.Name()
					lines[fmt.Sprintf("field %s %s %s %s", name, m[1], f.Name(), typeText(f.Type()))] = true
				}
				if len(keys) > 0 && bare != "" {
					return nil, fmt.Errorf("%s of %s.%s is stored and has no key", bare, pkg.Name(), name)
				}
				if was, twice := home[name]; twice && len(keys) > 0 {
					return nil, fmt.Errorf("%s and %s both store a %s", was, pkg.Path(), name)
				} else if len(keys) > 0 {
					home[name] = pkg.Path()
				}
			}
		}
		for _, file := range s.names[pkg] {
			if err := s.numbers(s.files[file], lines); err != nil {
				return nil, err
			}
		}
	}
	return sorted(lines), nil
}

// typeText writes a type without packages, and what a pointer points at like
// a value, which is how it is stored.
func typeText(t types.Type) string {
	return strings.ReplaceAll(types.TypeString(t, func(*types.Package) string { return "" }), "*", "")
}

// countsNames finds the name that ends a list of names: what it says is how
// many there are, and grows with them.
var countsNames = regexp.MustCompile(`^[nN]um[A-Z]`)

// numbers lists the exported names of a file that stand for a number or a
// letter: those of a block that counts, and letters.
func (s *sources) numbers(file *ast.File, lines map[string]bool) error {
	for _, d := range file.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		taken, stands := map[string]string{}, false
		for _, spec := range g.Specs {
			v := spec.(*ast.ValueSpec)
			if len(v.Values) > 0 {
				stands = standsForNumber(v.Values[0])
			}
			for _, name := range v.Names {
				c, ok := s.info.Defs[name].(*types.Const)
				if !stands || !ok || !name.IsExported() || countsNames.MatchString(name.Name) {
					continue
				}
				line := fmt.Sprintf("number %s %s", strings.TrimPrefix(typeText(c.Type()), "untyped "), c.Val())
				if was, twice := taken[line]; twice {
					return fmt.Errorf("%s and %s are one %s", was, name.Name, line)
				}
				taken[line] = name.Name
				lines[line+" "+name.Name] = true
			}
		}
	}
	return nil
}

// standsForNumber reports whether an expression counts, or is a letter.
func standsForNumber(e ast.Expr) (ok bool) {
	ast.Inspect(e, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.Ident:
			ok = ok || n.Name == "iota"
		case *ast.BasicLit:
			ok = ok || n.Kind == token.CHAR
		}
		return true
	})
	return ok
}

// changed tells what the present form no longer means as an old one did. A new
// line is growth; so is a longer list, and a wider number.
func changed(old, now []string) (wrong []string) {
	has, same, at := map[string]bool{}, map[string][]string{}, map[string]string{}
	for _, line := range now {
		has[line] = true
		what, how := cutLast(line)
		same[what] = append(same[what], how)
		at[place(what)] = line
	}
	for _, line := range old {
		what, how := cutLast(line)
		switch {
		case has[line], slices.ContainsFunc(same[what], func(now string) bool { return grown(how, now) }):
		case len(same[what]) > 0 && !strings.HasPrefix(line, "number"):
			wrong = append(wrong, fmt.Sprintf("%q: it is %s now, which does not hold what was stored", line,
				strings.Join(same[what], ", ")))
		case at[place(what)] != "":
			wrong = append(wrong, fmt.Sprintf("%q: that is %q now: what is new stands behind the others, with a key or number "+
				"of its own", line, at[place(what)]))
		default:
			wrong = append(wrong, fmt.Sprintf("%q: it is gone: what was stored stays, and where it is called otherwise, say so "+
				"in renamed", line))
		}
	}
	return wrong
}

// place is the key of a field, or the number of a name: what it stands for may
// be called otherwise.
func place(what string) string {
	words := strings.Fields(what)
	return strings.Join(words[:min(3, len(words))], " ")
}

// cutLast cuts off a line's last word.
func cutLast(line string) (before, last string) {
	i := strings.LastIndexByte(line, ' ')
	return line[:i], line[i+1:]
}

// list finds the length of a list, number the width of a number.
var (
	list   = regexp.MustCompile(`^\[(\d+)\](.+)$`)
	number = regexp.MustCompile(`^(u?int)(8|16|32|64)$`)
)

// grown reports whether a type holds all that another did, stored in the same
// way: a list that is as long or longer, a number that is as wide or wider.
func grown(old, now string) bool {
	for _, kind := range []*regexp.Regexp{list, number} {
		o, n := kind.FindStringSubmatch(old), kind.FindStringSubmatch(now)
		if o == nil || n == nil {
			continue
		}
		if kind == list {
			return atLeast(n[1], o[1]) && (o[2] == n[2] || grown(o[2], n[2]))
		}
		return o[1] == n[1] && atLeast(n[2], o[2])
	}
	return false
}

func atLeast(a, b string) bool {
	x, _ := strconv.Atoi(a)
	y, _ := strconv.Atoi(b)
	return x >= y
}
