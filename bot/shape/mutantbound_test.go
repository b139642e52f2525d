package shape

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"slices"
)

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
