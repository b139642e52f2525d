package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"duskdawn/bot/picture"
	"duskdawn/flows/cohort"
)

// drawCohort writes the nights of one cohort, or of two, as a picture: how many
// have settled, how many are sore, how far forward they are. A name that ends in .svg gives SVG, any other PNG.
func drawCohort(path string, runs []*cohortRun) error {
	for _, r := range runs {
		if len(r.tally.Days) == 0 {
			return errors.New("no night was lived")
		}
	}
	names := make([]string, len(runs))
	for i, r := range runs {
		names[i] = filepath.Base(r.name)
	}
	r := runs[0]
	drawing := picture.Trial{Names: names, Title: fmt.Sprintf("%d virtual patients, %d nights, %s", r.tally.Patients,
		r.trial.Nights, strings.Join(names, " and ")),
		Note: "A model for teaching and for testing the rules, not for setting a patient's plan."}
	if r.partial() {
		drawing.Note = "Stopped before the end: these are a part of the patients. " + drawing.Note
	}
	per := func(name string, of func(cohort.Day) float64) picture.Panel {
		s := picture.Panel{Name: name, Most: 10}
		for _, r := range runs {
			line := make([]float64, len(r.tally.Days))
			for i, d := range r.tally.Days {
				line[i] = of(d) / float64(max(d.Patients, 1))
			}
			s.Lines = append(s.Lines, line)
			s.Most = max(s.Most, 10*math.Ceil(slices.Max(line)/10))
		}
		return s
	}
	panels := []picture.Panel{
		per("Snoring has settled, % of patients", func(d cohort.Day) float64 { return 100 * float64(d.Settled) }),
		per("Sore that morning, % of patients", func(d cohort.Day) float64 { return 100 * float64(d.Sore) }),
		per("Where it stands, % of the protrusive range, mean",
			func(d cohort.Day) float64 { return float64(d.Place) / 10 }),
	}
	panels[0].Most = 100
	place := &panels[2]
	for i, line := range place.Lines { // what it gains is small beside where it begins
		low := max(10*math.Floor(slices.Min(line)/10), 0)
		if i == 0 || low < place.Least {
			place.Least = low
		}
	}
	place.Most = max(place.Most, place.Least+20)
	drawing.Panels = panels
	sheet := drawing.Draw(plotWidth)
	if filepath.Ext(path) == ".svg" {
		return os.WriteFile(path, sheet.SVG(), 0o644)
	}
	raw, err := sheet.PNG()
	if err != nil {
		return err
	}
	return os.WriteFile(path, raw, 0o644)
}

// plotWidth of a trial's picture, in points.
const plotWidth = 720
