package shape

import (
	"encoding/json"
	"errors"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
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

// recipe is one recipe of DEVELOPERS.md: its steps, how many Go files and files
// of a language they touch, the tests that hold what is added to what follows
// from it, and how these name what is missing.
type recipe struct {
	steps    func(langs []string) []step
	goFiles  int
	langs    int
	tests    string
	packages []string
	names    string
}

var recipes = map[string]recipe{
	"question": {moonlight, 2, 3, "TestEveryFieldHasItsRow|TestColumnsRoundTrip|TestEveryQuestionIsAsked|TestEveryAnswer.*|" +
		"TestDictionariesAgree|TestCatalogueLanguagesAgree|TestLabelsMeanWhatTheySay",
		[]string{"./flows/chart", "./locales"}, `moonlight|moon_light|Moonlight|field \d+, ""`},
	"rule": {shortNight, 1, 1, "TestRuleRows|TestReasons|TestWhy.*|TestCatalogueLanguagesAgree",
		[]string{"./flows/pacing", "./flows/desk", "./flows/why", "./locales"}, asNext("P20|p20")},
	"flag": {numbFever, 1, 1, "TestFlagTable|TestFlagTextsHaveTheirRow|TestReasons|TestWhy.*|TestCatalogueLanguagesAgree",
		[]string{"./flows/pacing", "./flows/desk", "./flows/why", "./locales"}, `numb\.fever`},
	"command": {sayAgain, 3, 1, "TestOrder.*|TestActs|TestAllButtons|TestCatalogueLanguagesAgree",
		[]string{"./flows", "./flows/desk", "./locales"}, `[aA]gain|order \d+ has`},
}

// languages are those that have texts.
func languages(t *testing.T) (langs []string) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(root, "locales", "read.*.toml"))
	if err != nil || len(paths) < 2 {
		t.Fatal("the dictionaries were not found", err)
	}
	for _, path := range paths {
		langs = append(langs, strings.Split(filepath.Base(path), ".")[1])
	}
	return langs
}

// followed takes the steps of every recipe but those that are left out.
func followed(t *testing.T, leave func(name string, i int) bool) *overlay {
	t.Helper()
	langs, o := languages(t), newOverlay(t)
	for name, r := range recipes {
		for i, s := range r.steps(langs) {
			if leave == nil || !leave(name, i) {
				o.insert(s)
			}
		}
	}
	return o
}

// A question, a rule, a flag and a staff command are added by their recipes, all
// in one build, and each touches as few files as its recipe says. The question is
// asked, answered, read back, stored, exported and replayed; the rule speaks, says
// why in every language, reaches a person, is counted, stored, run again and
// explained; the flag is raised by what is said and by an answer, cautions, holds
// the appliance out and reaches a person; the command's button stands on a card,
// does what it says for whoever may, and answers in every language.
func TestRecipes(t *testing.T) {
	if testing.Short() {
		t.Skip("a build")
	}
	langs := languages(t)
	for name, r := range recipes {
		files := map[string]bool{}
		for _, s := range r.steps(langs) {
			files[s.name] = true
		}
		if want := r.goFiles + r.langs*len(langs); len(files) != want {
			t.Errorf("a %s touches %d files, not %d", name, len(files), want)
		}
	}
	o := followed(t, nil)
	for name, file := range map[string]string{"question": "asked", "table": "added", "command": "given"} {
		text, err := os.ReadFile("testdata/" + name + "/" + file + "_test.go.txt")
		if err != nil {
			t.Fatal(err)
		}
		o.put("bot/talktest/"+file+"_test.go", asNext(string(text)))
	}
	if out, err := o.test("^TestAdded", "./bot/talktest"); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

// The tests that hold every row to what follows from it hold what was added to it,
// too; and where any one step of a recipe is left out, one of them says so.
func TestRecipeSteps(t *testing.T) {
	if os.Getenv("DUSKDAWN_SIEGE") == "" && !*allMutants {
		t.Skip("takes minutes: run with DUSKDAWN_SIEGE=1")
	}
	langs := languages(t)
	for _, name := range slices.Sorted(maps.Keys(recipes)) {
		r := recipes[name]
		if out, err := followed(t, nil).test("^("+r.tests+")$", r.packages...); err != nil {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
		names := regexp.MustCompile(`(?m)^.*(` + r.names + `).*$`)
		for i, left := range r.steps(langs) {
			o := followed(t, func(n string, j int) bool { return n == name && i == j })
			out, err := o.test("^("+r.tests+")$", r.packages...)
			if named := names.FindString(out); err == nil || named == "" {
				t.Errorf("without %q in %s nothing is missed: %v\n%s", left.lines, left.name, err, out)
			} else {
				t.Logf("without %q in %s: %s", left.lines, left.name, strings.TrimSpace(named))
			}
		}
	}
}
