package siege

import (
	_ "embed"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

//go:embed promises.txt
var promises string

// Every test that the table of promises names exists in its package; a name of
// the stores' one suite is a row of it.
func TestPromisesAreTested(t *testing.T) {
	rows := 0
	for line := range strings.Lines(promises) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		parts := strings.Split(line, " | ")
		if len(parts) != 3 {
			t.Errorf("not a fault, a promise and its tests: %s", line)
			continue
		}
		rows++
		for _, name := range strings.Split(parts[2], ", ") {
			pkg, test, _ := strings.Cut(name, " ")
			want, from := "func "+test+"(t *testing.T)", filepath.Join("..", "..", pkg, "*_test.go")
			if strings.HasPrefix(pkg, "store/") && !strings.HasPrefix(test, "Test") {
				want, from = `{"`+test+`",`, filepath.Join("..", "..", "store", "storetest", "run.go")
			}
			if !holds(t, from, want) {
				t.Errorf("%s has no %s", pkg, test)
			}
		}
	}
	if rows < 10 {
		t.Errorf("%d promises", rows)
	}
}

// holds reports whether one of the files holds the words.
func holds(t *testing.T, files, words string) bool {
	t.Helper()
	names, err := filepath.Glob(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(data), words) {
			return true
		}
	}
	return false
}
