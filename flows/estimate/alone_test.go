package estimate

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// No estimate is an input of a rule, and none reaches a patient's chat: of all
// that is under flows the desk alone may know of them.
func TestOnlyTheDeskKnowsEstimates(t *testing.T) {
	files := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") ||
			strings.HasPrefix(path, "../desk/") {
			return err
		}
		files++
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, i := range f.Imports {
			if name, _ := strconv.Unquote(i.Path.Value); name == "duskdawn/flows/estimate" {
				t.Errorf("%s imports it", path)
			}
		}
		return nil
	})
	if err != nil || files < 50 {
		t.Errorf("%d files: %v", files, err)
	}
}
