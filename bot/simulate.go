package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/cohort"
	"duskdawn/locales"
)

// teaching goes with every figure of a cohort.
const teaching = "A model for teaching and for testing the rules, not for setting a patient's plan. What its numbers rest on: simulate -sources."

// errPartial says that a cohort was stopped before its end; what was printed is
// a part and says so.
var errPartial = errors.New("stopped before the end: the report is of a part")

// errBroken says that a promise of the rules was broken.
var errBroken = errors.New("a promise was broken: this is a fault of the program")

// simulate plays virtual patients through the flow and says what became of them.
func simulate(ctx context.Context, a app, args []string) error {
	f := a.flags("simulate", "play virtual patients through the rules\n"+teaching)
	patients := f.Int("patients", 1000, "how many virtual patients")
	nights := f.Int("nights", 90, "how many nights each lives")
	seed := f.Uint64("seed", 1, "the same seed gives the same result")
	planPath := f.String("plan", "", "the plan's TOML file, as enrol takes it; without one the usual defaults\nstart and ceiling are taken as shares of the plan's protrusion and found on each patient's own")
	against := f.String("against", "", "a second plan's TOML file, for the same patients")
	format := f.String("format", "table", "table, or json")
	plot := f.String("plot", "", "write the nights as a picture: PNG, or SVG where the name ends so")
	partner := f.Int("partner", 0, "nights of a week that every partner is there to hear, 1 to 7; 0: as the model draws it")
	adverse := f.Bool("adversarial", false, "answers and orders are random, contradictory, malicious or missing")
	sources := f.Bool("sources", false, "print what the model's numbers rest on")
	if err := parse(f, args); err != nil {
		return err
	}
	if *sources {
		return printSources(a.out)
	}
	switch {
	case *patients < 1 || *patients > 10_000_000:
		return a.usage("simulate: -patients is from 1 to 10,000,000, not %d", *patients)
	case *nights < 1 || *nights > chart.LongestPlan-1:
		return a.usage("simulate: -nights is from 1 to %d, not %d", chart.LongestPlan-1, *nights)
	case *partner < 0 || *partner > 7:
		return a.usage("simulate: -partner is from 1 to 7, or 0, not %d", *partner)
	case *format != "table" && *format != "json":
		return a.usage("simulate: -format is table or json, not %q", *format)
	}
	words, err := locales.Load()
	if err != nil {
		return fmt.Errorf("loading the words: %w", err)
	}
	runs := []*cohortRun{{name: "usual defaults", plan: cohort.Usual()}}
	if *planPath != "" {
		runs[0].name = *planPath
		if runs[0].plan, err = a.planFile(words, *planPath, cohort.Fitted()); err != nil {
			return err
		}
	}
	if *against != "" {
		second := &cohortRun{name: *against}
		if second.plan, err = a.planFile(words, *against, cohort.Fitted()); err != nil {
			return err
		}
		runs = append(runs, second)
	}
	if *plot != "" { // found out before the nights are lived
		file, err := os.OpenFile(*plot, os.O_WRONLY|os.O_CREATE, 0o644)
		if err != nil {
			return fmt.Errorf("writing the picture: %w", err)
		}
		file.Close()
	}
	for _, r := range runs {
		r.trial = cohort.Trial{Plan: r.plan, Nights: *nights, Seed: *seed, Partner: *partner, Adverse: *adverse}
		r.wanted = *patients
		r.live(ctx, a.err)
	}
	if err := printCohort(a.out, *format, runs); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	if *plot != "" {
		if err := drawCohort(*plot, runs); err != nil {
			return fmt.Errorf("drawing %s: %w", *plot, err)
		}
	}
	for _, r := range runs {
		switch {
		case r.tally.Broken() > 0:
			return fmt.Errorf("%w; patient %d: %s", errBroken, r.tally.FirstOf, r.tally.First)
		case r.partial():
			return errPartial
		}
	}
	return nil
}

// usage says what of the command line is wrong.
func (a app) usage(format string, args ...any) error {
	fmt.Fprintf(a.err, format+"\n", args...)
	return errUsage
}

// cohortRun is one plan's cohort.
type cohortRun struct {
	name   string
	plan   chart.Enrolment
	trial  cohort.Trial
	wanted int
	tally  cohort.Tally
	took   time.Duration
}

// partial reports whether it was stopped.
func (r *cohortRun) partial() bool { return r.tally.Patients < r.wanted }

// live plays the patients on all cores. Each is a value of plan, seed and
// number, and the tally holds whole numbers alone, so who plays whom changes
// nothing. It ends early with the context, between two patients.
func (r *cohortRun) live(ctx context.Context, progress io.Writer) {
	defer debug.SetGCPercent(debug.SetGCPercent(1600)) // nothing is kept: the collector has little to find
	start := time.Now()
	var next, done atomic.Int64
	var wg sync.WaitGroup
	players := make([]*cohort.Player, min(runtime.GOMAXPROCS(0), r.wanted))
	for i := range players {
		players[i] = r.trial.Player()
		wg.Add(1)
		go func() {
			defer wg.Done()
			for ctx.Err() == nil {
				n := int(next.Add(1)) - 1
				if n >= r.wanted {
					return
				}
				players[i].Live(n)
				done.Add(1)
			}
		}()
	}
	over := make(chan struct{})
	go func() { wg.Wait(); close(over) }()
	tick := time.NewTicker(2 * time.Second) // what takes less needs no progress
	defer tick.Stop()
	for running := true; running; {
		select {
		case <-over:
			running = false
		case <-tick.C:
			n := done.Load()
			left := "?"
			if n > 0 {
				left = (time.Since(start) * time.Duration(int64(r.wanted)-n) / time.Duration(n)).Round(time.Second).String()
			}
			fmt.Fprintf(progress, "%s: %d of %d patients, about %s left\n", r.name, n, r.wanted, left)
		}
	}
	for _, p := range players {
		r.tally.Merge(&p.Tally)
	}
	r.took = time.Since(start)
}
