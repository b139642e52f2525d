package shape

import (
	"fmt"
	"go/ast"
	"go/token"
	"strconv"
	"testing"

	"duskdawn/flows/pacing"
)

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
				case "then", "known", "doubt", "back", "review", "always":
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
				case "Sole", "Beside", "Doubt", "IfNow", "Reached", "Weekly", "Before", "Night", "Ruled":
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
