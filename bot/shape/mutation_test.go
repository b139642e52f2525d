package shape

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"hash/fnv"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

var (
	allMutants    = flag.Bool("mutants", false, "try every mutant of the rules and flags, not a few")
	mutantPattern = flag.String("mutant", "", "try the mutants whose name matches this expression")
)

// fewMutants is how many are tried without a flag: four, and sixteen with the other
// long tests. Which, the code itself says: every change draws others, and one
// commit always draws the same.
func fewMutants() int {
	if os.Getenv("DUSKDAWN_SIEGE") != "" {
		return 16
	}
	return 4
}

// mutantTime is how long a mutant may run before it counts as found: it runs
// in circles.
const mutantTime = 5 * time.Minute

// slowTests draw what they try. What they alone find another run may not, so
// they count only against those that are said to be equal.
const slowTests = "Property|TestOneAdviceANight|TestNextHoldsWhateverHappens|TestConditionsOfQuestions|TestRandomTalks"

// Every rule and flag row can be taken away, and every number and bound of
// theirs be moved by one, only where a plain test of flows or a room fails. What is said
// to be equal passes the drawn courses and every talk, too.
// `go test ./bot/shape -run TestMutants -mutants -v -timeout 60m` tries all.
func TestMutants(t *testing.T) {
	if testing.Short() {
		t.Skip("a build and many runs")
	}
	f := newFactory(t)
	f.all(t)
	dir := t.TempDir()
	lab := lab{dir: dir, overlay: f.overlay(t, dir)}
	var pkgs []string
	for _, room := range f.rooms {
		if pkg := room.Path(); f.tests[room] {
			pkgs = append(pkgs, pkg)
			lab.benches = append(lab.benches, bench{pkg, lab.binary(pkg), lab.folder(pkg)})
		}
	}
	lab.build(t, pkgs...)
	if t.Failed() {
		return
	}
	for _, b := range lab.benches {
		if killer := lab.try(t.Context(), b, 0, "-test.failfast", "-test.skip="+slowTests); killer != "" {
			t.Fatalf("without anything wrong the tests of %s fail: %s", b.pkg, killer)
		}
	}
	for _, s := range equals {
		if !slices.ContainsFunc(f.mutants, func(m mutant) bool { return s.name.MatchString(m.name) }) {
			t.Errorf("there is no mutant like %s any more", s.name)
		}
	}
	chosen := choose(t, f)
	killers := make([]string, len(chosen))
	next := make(chan int)
	var wait sync.WaitGroup
	for range max(1, runtime.NumCPU()) {
		wait.Go(func() {
			for i := range next {
				killers[i] = lab.kill(t, chosen[i])
			}
		})
	}
	for i := range chosen {
		next <- i
	}
	close(next)
	wait.Wait()
	found, same := 0, 0
	for i, m := range chosen {
		switch why, ok := equal(m); {
		case ok && killers[i] != "":
			t.Errorf("%s: %s: found by %s, though no test should tell: %s", m.at, m.name, killers[i], why)
		case ok:
			same++
			t.Logf("%s: %s: no test can tell: %s", m.at, m.name, why)
		case killers[i] != "":
			found++
			t.Logf("%s: %s: found by %s", m.at, m.name, killers[i])
		default:
			t.Errorf("%s: %s: every test passes", m.at, m.name)
		}
	}
	t.Logf("%d mutants, %d tried, %d found, %d that no test can tell", len(f.mutants), len(chosen), found, same)
}

// choose takes those that are asked for, or a few.
func choose(t *testing.T, f *factory) []mutant {
	t.Helper()
	if *mutantPattern != "" {
		want, err := regexp.Compile(*mutantPattern)
		if err != nil {
			t.Fatal(err)
		}
		return slices.DeleteFunc(slices.Clone(f.mutants), func(m mutant) bool { return !want.MatchString(m.name) })
	}
	if *allMutants {
		return f.mutants
	}
	sum := fnv.New32a()
	for _, file := range mutated {
		sum.Write(f.text[file])
	}
	from := slices.DeleteFunc(slices.Clone(f.mutants), func(m mutant) bool { _, same := equal(m); return same })
	step := len(from)/fewMutants() + 1
	var out []mutant
	for i := int(sum.Sum32() % uint32(step)); i < len(from); i += step {
		out = append(out, from[i])
	}
	return out
}

// talksPath is the package that plays every talk.
const talksPath = "duskdawn/bot/talktest"

// lab runs mutants.
type lab struct {
	dir, overlay string
	benches      []bench // of flows and its rooms
	talks        sync.Once
}

// bench is a test binary with all mutants in it, and the folder it runs in.
type bench struct{ pkg, bin, dir string }

// binary is where the test binary of a package is built; no two of them have
// one last name.
func (l *lab) binary(pkg string) string {
	name := path.Base(pkg) + ".test"
	if runtime.GOOS == "windows" {
		name += ".exe"
	}
	return filepath.Join(l.dir, "bin", name)
}

// folder is where a package of ours lies.
func (l *lab) folder(pkg string) string {
	return filepath.Join("../..", filepath.FromSlash(strings.TrimPrefix(pkg, "duskdawn/")))
}

// build makes the test binaries of some packages, with all mutants in them.
func (l *lab) build(t *testing.T, pkgs ...string) {
	args := append([]string{"test", "-c", "-vet=off", "-overlay", l.overlay, "-o", filepath.Join(l.dir, "bin") +
		string(filepath.Separator)}, pkgs...)
	if out, err := exec.Command("go", args...).CombinedOutput(); err != nil {
		t.Errorf("building the mutants: %v\n%s", err, out)
	}
}

// kill names what found a mutant; empty where nothing did. The tests of its
// own room are asked first.
func (l *lab) kill(t *testing.T, m mutant) string {
	benches := slices.Clone(l.benches)
	slices.SortStableFunc(benches, func(a, b bench) int { return home(m, b.pkg) - home(m, a.pkg) })
	for _, b := range benches {
		if killer := l.try(t.Context(), b, m.n, "-test.failfast", "-test.skip="+slowTests); killer != "" {
			return killer
		}
	}
	if _, same := equal(m); !same {
		return ""
	}
	for _, b := range benches {
		if killer := l.try(t.Context(), b, m.n, "-test.failfast", "-test.run="+slowTests); killer != "" {
			return killer
		}
	}
	l.talks.Do(func() { l.build(t, talksPath) })
	return l.try(t.Context(), bench{talksPath, l.binary(talksPath), l.folder(talksPath)}, m.n, "-test.failfast",
		"-test.run=TestTalksThroughTheCore")
}

// home is 1 where a mutant is of this package.
func home(m mutant, pkg string) int {
	if path.Join(flowsPath, path.Dir(m.file)) == pkg {
		return 1
	}
	return 0
}

var failed = regexp.MustCompile(`(?m)^\s*--- FAIL: (\S+)`)

// try runs a test binary as a mutant and names the test that fails.
func (l *lab) try(ctx context.Context, b bench, n int, args ...string) string {
	ctx, stop := context.WithTimeout(ctx, mutantTime)
	defer stop()
	cmd := exec.CommandContext(ctx, b.bin, args...)
	cmd.Dir = b.dir
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%d", mutantVar, n), "RAPID_NOFAILFILE=1", "DUSKDAWN_NO_SKIP=")
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	err := cmd.Run()
	switch at := failed.FindSubmatch(out.Bytes()); {
	case ctx.Err() != nil:
		return "the clock"
	case err == nil:
		return ""
	case at != nil:
		return string(at[1])
	}
	if bytes.Contains(out.Bytes(), []byte("panic:")) {
		return "a panic"
	}
	return err.Error()
}
