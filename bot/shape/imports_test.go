package shape

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// row is a row of the import table of DEVELOPERS.md.
type row struct {
	pkg string
	may []string // which of our packages it may import directly, tests left out
	not []string // where it may import all but these
}

func (r row) allows(pkg string) bool {
	return slices.Contains(r.may, pkg) || r.not != nil && !slices.Contains(r.not, pkg)
}

// importRow finds a row of the table: a package, its line, what it may import.
var importRow = regexp.MustCompile("(?m)^\\| `([a-z/]+)` \\|[^|]*\\| (none|(?:all but )?(?:`[a-z/]+` ?)+) \\|$")

// readTable reads the rows of the import table. In its last column a room of
// flows goes by its own name.
func readTable(text string) (rows []row) {
	found := importRow.FindAllStringSubmatch(text, -1)
	ours := map[string]string{}
	for _, m := range found {
		ours[strings.TrimPrefix(m[1], "flows/")] = m[1]
		ours[m[1]] = m[1]
	}
	for _, m := range found {
		r := row{pkg: m[1]}
		for name := range strings.FieldsSeq(strings.NewReplacer("`", "", "none", "", "all but", "").Replace(m[2])) {
			if full, ok := ours[name]; ok {
				name = full
			}
			r.may = append(r.may, name)
		}
		if strings.HasPrefix(m[2], "all but") {
			r.may, r.not = nil, r.may
		}
		rows = append(rows, r)
	}
	return rows
}

// wrongImports tells what is wrong with a table, or with a program by it.
// Every row may import of the rows under it alone.
func wrongImports(rows []row, program map[string][]string) (wrong []string) {
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	at := map[string]int{}
	for i, r := range rows {
		if _, twice := at[r.pkg]; twice {
			say("%s has two rows", r.pkg)
		}
		at[r.pkg] = i
	}
	for i, r := range rows {
		if _, ok := program[r.pkg]; !ok {
			say("the table has %s, and the program has not", r.pkg)
		}
		for _, pkg := range slices.Concat(r.may, r.not) {
			switch j, ok := at[pkg]; {
			case !ok:
				say("the row of %s names %s, which has no row", r.pkg, pkg)
			case j <= i:
				say("the row of %s allows %s, which stands above it: what both need belongs under both", r.pkg, pkg)
			}
		}
	}
	for _, pkg := range sorted(program) {
		i, ok := at[pkg]
		if !ok {
			say("%s has no row in the import table", pkg)
			continue
		}
		for _, of := range program[pkg] {
			switch j, ok := at[of]; {
			case ok && j <= i:
				say("%s imports %s, which stands above it: imports run down, so that %s can be read, tested and changed "+
					"without knowing %s; what both need belongs under both", pkg, of, pkg, of)
			case !rows[i].allows(of):
				say("%s imports %s; its row allows %v", pkg, of, rows[i].may)
			}
		}
	}
	return wrong
}

// ourImports lists which of our packages each imports directly: fmt itself
// pulls in os, so that what they import in turn says nothing.
func ourImports(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", "duskdawn/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	program := map[string][]string{}
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return program
		} else if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimPrefix(p.ImportPath, "duskdawn/")
		program[name] = nil
		for _, i := range p.Imports {
			if ours, is := strings.CutPrefix(i, "duskdawn/"); is {
				program[name] = append(program[name], ours)
			}
		}
	}
}

// TestImports holds the program to the import table of DEVELOPERS.md.
func TestImports(t *testing.T) {
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	program := ourImports(t)
	if len(program) < 30 {
		t.Errorf("only %d packages were looked at", len(program))
	}
	for _, w := range wrongImports(readTable(string(text)), program) {
		t.Error(w)
	}
}

// What the table is there to refuse is refused, and what it allows is not.
func TestImportsRunDown(t *testing.T) {
	const table = "| `bot` | main | all but `bot/spare` |\n| `bot/spare` | for tests | none |\n" +
		"| `flows` | the talk | `chart` |\n| `flows/chart` | the record | `flows/civil` |\n| `flows/civil` | dates | none |\n"
	for _, c := range []struct {
		table   string
		program map[string][]string
		want    string // how the one complaint begins; empty for none
	}{
		{table, map[string][]string{"bot": {"flows", "flows/civil"}, "flows": {"flows/chart"}}, ""},
		{table, map[string][]string{"flows/chart": {"flows"}}, "flows/chart imports flows, which stands above it: imports run down"},
		{table, map[string][]string{"flows/civil": {"flows/chart"}}, "flows/civil imports flows/chart, which stands above it"},
		{table, map[string][]string{"flows": {"flows/civil"}}, "flows imports flows/civil; its row allows [flows/chart]"},
		{table, map[string][]string{"bot": {"bot/spare"}}, "bot imports bot/spare; its row allows"},
		{table, map[string][]string{"flows/new": nil}, "flows/new has no row"},
		{table + "| `flows/gone` | nothing | none |\n", nil, "the table has flows/gone, and the program has not"},
		{table + "| `store` | rows | none |\n", map[string][]string{"store": {"flows"}}, "store imports flows, which stands above it"},
		{strings.Replace(table, "dates | none", "dates | `chart`", 1), nil, "the row of flows/civil allows flows/chart, which stands above it"},
		{strings.Replace(table, "`chart`", "`chart` `desk`", 1), nil, "the row of flows names desk, which has no row"},
		{table + "| `flows` | again | none |\n", nil, "flows has two rows"},
	} {
		program := map[string][]string{"bot": nil, "bot/spare": nil, "flows": nil, "flows/chart": nil, "flows/civil": nil}
		for pkg, of := range c.program {
			program[pkg] = of
		}
		wrong := wrongImports(readTable(c.table), program)
		if c.want == "" && len(wrong) > 0 || c.want != "" && (len(wrong) != 1 || !strings.HasPrefix(wrong[0], c.want)) {
			t.Errorf("with %v: %q, want one that begins %q", c.program, wrong, c.want)
		}
	}
}
