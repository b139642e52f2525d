package shape

import (
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A recipe of DEVELOPERS.md is followed here to its end, by the go command's
// overlay: nothing of ours is touched, and what is built has what was added.

// overlay is files as they would be, by their path in the module.
type overlay struct {
	t     *testing.T
	dir   string
	files map[string]string // where the text of each lies
}

func newOverlay(t *testing.T) *overlay {
	return &overlay{t: t, dir: t.TempDir(), files: map[string]string{}}
}

// put has a text in place of a file, or as a new one.
func (o *overlay) put(name, text string) {
	o.t.Helper()
	path, err := filepath.Abs(filepath.Join(root, filepath.FromSlash(name)))
	if err != nil {
		o.t.Fatal(err)
	}
	as := filepath.Join(o.dir, strings.ReplaceAll(name, "/", "+"))
	if err := os.WriteFile(as, []byte(text), 0o600); err != nil {
		o.t.Fatal(err)
	}
	o.files[path] = as
}

// insert takes a step: its lines go to the one place that reads so.
func (o *overlay) insert(s step) {
	o.t.Helper()
	path, err := filepath.Abs(filepath.Join(root, filepath.FromSlash(s.name)))
	if err != nil {
		o.t.Fatal(err)
	}
	if o.files[path] != "" { // a step before this one was taken in it
		path = o.files[path]
	}
	text, err := os.ReadFile(path)
	if err != nil {
		o.t.Fatal(err)
	}
	if strings.Count(string(text), s.before+s.behind) != 1 {
		o.t.Fatalf("%s has not one place that reads %q", s.name, s.before+s.behind)
	}
	o.put(s.name, strings.Replace(string(text), s.before+s.behind, s.before+s.lines+s.behind, 1))
}

// test runs tests with what was added, and gives what they print.
func (o *overlay) test(run string, pkgs ...string) (string, error) {
	o.t.Helper()
	list, err := json.Marshal(map[string]any{"Replace": o.files})
	if err != nil {
		o.t.Fatal(err)
	}
	path := filepath.Join(o.dir, "overlay.json")
	if err := os.WriteFile(path, list, 0o600); err != nil {
		o.t.Fatal(err)
	}
	args := []string{"test", "-vet=off", "-overlay", path, "-run", run}
	cmd := exec.Command("go", append(args, pkgs...)...)
	cmd.Dir = root
	out, err := cmd.CombinedOutput()
	if err == nil && strings.Contains(string(out), "no tests to run") {
		err = errors.New("no test was run")
	}
	return string(out), err
}

// step is one thing that a recipe adds to a file, before or behind a place.
type step struct{ name, before, behind, lines string }

// dryMouth is a question by its recipe: two Go files, and three files a language.
func dryMouth(t *testing.T) (steps []step) {
	t.Helper()
	steps = []step{
		{"flows/chart/field.go", "", "\tNumFields\n", "\tDryMouth // 0 to 10, over the last 7 days\n"},
		{"flows/chart/field.go", "", "})\n\n// Row is",
			"\tDryMouth: {Name: \"drymouth\", Column: \"dry_mouth\", Kind: Scale, About: Tonight},\n"},
		{"flows/checkin_question.go", "weeklyAsks = [...]question{\n", "", "\t\t{field: chart.DryMouth},\n"},
	}
	texts := map[string][4]string{
		"en": {"How dry was your mouth at night this week, from 0 to 10? 0 is not dry.", "dry mouth", "Dry mouth {{.n}}",
			`"dry mouth", "mouth dry"`},
		"es": {"¿Cómo de seca tuvo la boca por la noche, de 0 a 10? 0 es nada.", "boca seca", "Boca seca {{.n}}",
			`"boca seca", "sequedad de boca"`},
	}
	read, err := filepath.Glob(filepath.Join(root, "locales", "read.*.toml"))
	if err != nil || len(read) < len(texts) {
		t.Fatal("the dictionaries were not found", err)
	}
	for _, path := range read {
		lang := strings.Split(filepath.Base(path), ".")[1]
		text, ok := texts[lang]
		if !ok {
			text = texts["en"]
		}
		in := func(topic string) string { return "locales/" + topic + "." + lang + ".toml" }
		steps = append(steps,
			step{in("checkin"), "", `"ask.wrong" =`, `"ask.drymouth" = "` + text[0] + "\"\n"},
			step{in("label"), "", `"field.wrong" =`, `"field.drymouth" = "` + text[1] + "\"\n"},
			step{in("label"), "", `"label.wrong.0" =`, `"label.drymouth" = "` + text[2] + "\"\n"},
			step{in("read"), "[field]\n", "", "drymouth = [" + text[3] + "]\n"})
	}
	return steps
}

// heldToTexts are the tests that hold every field to what follows from its row.
const heldToTexts = "TestEveryFieldHasItsRow|TestColumnsRoundTrip|TestEveryQuestionIsAsked|TestEveryAnswer.*|" +
	"TestDictionariesAgree|TestCatalogueLanguagesAgree|TestLabelsMeanWhatTheySay"

// A question is added by its recipe. It is asked, answered, read back, stored,
// exported and replayed, and the tests that hold every field to its texts hold it
// to them, too. With -mutants each step is left out once: a test says what is missing.
func TestRecipeOfAQuestion(t *testing.T) {
	if testing.Short() {
		t.Skip("a build")
	}
	steps := dryMouth(t)
	asked, err := os.ReadFile("testdata/question/asked_test.go.txt")
	if err != nil {
		t.Fatal(err)
	}
	o := newOverlay(t)
	for _, s := range steps {
		o.insert(s)
	}
	if want := 2 + 3*(len(steps)-3)/4; len(o.files) != want {
		t.Errorf("%d files are touched, not %d", len(o.files), want)
	}
	o.put("bot/record/asked_test.go", string(asked))
	if out, err := o.test("^(TestAddedQuestion|"+heldToTexts+")$", "./bot/record", "./flows/chart", "./locales"); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	if !*allMutants {
		return
	}
	for i, left := range steps {
		o := newOverlay(t)
		for j, s := range steps {
			if j != i {
				o.insert(s)
			}
		}
		out, err := o.test("^("+heldToTexts+")$", "./flows/chart", "./locales")
		if named := regexp.MustCompile(`(?m)^.*(drymouth|dry_mouth|DryMouth|field 22).*$`).FindString(out); err == nil || named == "" {
			t.Errorf("without %q in %s nothing is missed: %v\n%s", left.lines, left.name, err, out)
		} else {
			t.Logf("without %q in %s: %s", left.lines, left.name, strings.TrimSpace(named))
		}
	}
}
