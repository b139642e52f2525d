package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"hash/fnv"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"sync"
	"testing"
	"time"
)

var (
	allMutants    = flag.Bool("mutants", false, "try every mutant of the rules and flags, not a few")
	mutantPattern = flag.String("mutant", "", "try the mutants whose name matches this expression")
)

// fewMutants is how many are tried without a flag. Which, the code itself says:
// every change draws others, and one commit always draws the same.
const fewMutants = 16

// mutantTime is how long a mutant may run before it counts as found: it runs
// in circles.
const mutantTime = 5 * time.Minute

// slowTests draw what they try. What they alone find another run may not, so
// they count only against those that are said to be equal.
const slowTests = "Property|TestOneAdviceANight|TestNextHoldsWhateverHappens|TestConditionsOfQuestions"

// Every rule and flag row can be taken away, and every number and bound of
// theirs be moved by one, only where a plain test of flows fails. What is said
// to be equal passes the drawn courses and every talk, too.
// `go test ./bot -run TestMutants -mutants -v -timeout 60m` tries all.
func TestMutants(t *testing.T) {
	if testing.Short() {
		t.Skip("a build and many runs")
	}
	f := newFactory(t, "../flows")
	f.all(t)
	dir := t.TempDir()
	lab := lab{dir: dir, overlay: f.overlay(t, "../flows", dir)}
	lab.flows = lab.build(t, "flows")
	if killer := lab.try(t.Context(), lab.flows, "../flows", 0, "-test.failfast"); killer != "" {
		t.Fatalf("without anything wrong the tests fail: %s", killer)
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
	step := len(from)/fewMutants + 1
	var out []mutant
	for i := int(sum.Sum32() % uint32(step)); i < len(from); i += step {
		out = append(out, from[i])
	}
	return out
}

// lab runs mutants.
type lab struct {
	dir, overlay string
	flows        string // the test binary of flows
	once         sync.Once
	talks        string // of the whole program, once a mutant needs it
}

// build makes the test binary of a package with all mutants in it.
func (l *lab) build(t *testing.T, pkg string) string {
	bin := filepath.Join(l.dir, filepath.Base(pkg)+".test")
	if runtime.GOOS == "windows" {
		bin += ".exe"
	}
	out, err := exec.Command("go", "test", "-c", "-vet=off", "-overlay", l.overlay, "-o", bin, "duskdawn/"+
		pkg).CombinedOutput()
	if err != nil {
		t.Errorf("building the mutants of %s: %v\n%s", pkg, err, out)
	}
	return bin
}

// kill names what found a mutant; empty where nothing did.
func (l *lab) kill(t *testing.T, m mutant) string {
	killer := l.try(t.Context(), l.flows, "../flows", m.n, "-test.failfast", "-rapid.nofailfile", "-test.skip="+slowTests)
	if _, same := equal(m); killer != "" || !same {
		return killer
	}
	if killer := l.try(t.Context(), l.flows, "../flows", m.n, "-test.failfast", "-rapid.nofailfile", "-test.run="+
		slowTests); killer != "" {
		return killer
	}
	l.once.Do(func() { l.talks = l.build(t, "bot") })
	return l.try(t.Context(), l.talks, ".", m.n, "-test.failfast", "-test.run=TestTalksThroughTheCore")
}

var failed = regexp.MustCompile(`(?m)^\s*--- FAIL: (\S+)`)

// try runs a test binary as a mutant and names the test that fails.
func (l *lab) try(ctx context.Context, bin, dir string, n int, args ...string) string {
	ctx, stop := context.WithTimeout(ctx, mutantTime)
	defer stop()
	cmd := exec.CommandContext(ctx, bin, args...)
	cmd.Dir, cmd.Env = dir, append(os.Environ(), fmt.Sprintf("%s=%d", mutantVar, n), "DUSKDAWN_NO_SKIP=")
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
