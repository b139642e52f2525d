package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-analyze/charts"

	"duskdawn/flows/cohort"
)

// drawCohort writes the nights of one cohort, or of two, as a picture: how many
// have settled, how many are sore, how far forward they are.
func drawCohort(path string, runs []*cohortRun) error {
	for _, r := range runs {
		if len(r.tally.Days) == 0 {
			return errors.New("no night was lived")
		}
	}
	p := charts.NewPainter(charts.PainterOptions{OutputFormat: charts.ChartOutputPNG, Width: 1200, Height: 1240,
		Theme: charts.GetTheme(charts.ThemeLight)})
	white, ink, grey := charts.ColorWhite, charts.Color{R: 38, G: 50, B: 56, A: 255},
		charts.Color{R: 96, G: 110, B: 118, A: 255}
	p.FilledRect(0, 0, p.Width(), p.Height(), white, white, 0)
	names := make([]string, len(runs))
	for i, r := range runs {
		names[i] = filepath.Base(r.name)
	}
	r := runs[0]
	p.Text(fmt.Sprintf("%d virtual patients, %d nights, %s", r.tally.Patients, r.trial.Nights,
		strings.Join(names, " and ")), 40, 52, 0, charts.FontStyle{FontSize: 22, FontColor: ink})
	note := "A model for teaching and for testing the rules, not for setting a patient's plan."
	if r.partial() {
		note = "Stopped before the end: these are a part of the patients. " + note
	}
	p.Text(note, 40, 84, 0, charts.FontStyle{FontSize: 12, FontColor: grey})

	per := func(name string, of func(cohort.Day) float64) panel {
		s := panel{name: name, most: 10}
		for _, r := range runs {
			line := make([]float64, len(r.tally.Days))
			for i, d := range r.tally.Days {
				line[i] = of(d) / float64(max(d.Patients, 1))
			}
			s.lines = append(s.lines, line)
			s.most = max(s.most, 10*math.Ceil(slices.Max(line)/10))
		}
		return s
	}
	panels := []panel{
		per("Snoring has settled, % of patients", func(d cohort.Day) float64 { return 100 * float64(d.Settled) }),
		per("Sore that morning, % of patients", func(d cohort.Day) float64 { return 100 * float64(d.Sore) }),
		per("Where the appliance stands, % of the protrusive range, mean",
			func(d cohort.Day) float64 { return float64(d.Place) / 10 }),
	}
	panels[0].most = 100
	place := &panels[2]
	for _, line := range place.lines { // what it gains is small beside where it begins
		place.low = max(10*math.Floor(slices.Min(line)/10), 0)
	}
	place.most = max(place.most, place.low+20)
	for i, s := range panels {
		top := 110 + i*370
		box := p.Child(charts.PainterBoxOption(charts.NewBox(24, top, 1176, top+360)))
		if err := s.draw(box, names, i == 0 && len(runs) > 1, ink, grey); err != nil {
			return err
		}
	}
	raw, err := p.Bytes()
	if err != nil {
		return err
	}
	return os.WriteFile(path, raw, 0o644)
}

// panel is one quantity, a line a plan.
type panel struct {
	name  string
	low   float64 // of the axis
	most  float64
	lines [][]float64
}

func (s *panel) draw(p *charts.Painter, names []string, legend bool, ink, grey charts.Color) error {
	opt := charts.NewLineChartOptionWithData(s.lines)
	// told apart by everyone, common practice
	colours := []charts.Color{{R: 0, G: 114, B: 178, A: 255}, {R: 213, G: 94, B: 0, A: 255}}
	opt.Theme = charts.GetTheme(charts.ThemeLight).WithSeriesColors(colours)
	opt.Title = charts.TitleOption{Text: s.name, FontStyle: charts.FontStyle{FontSize: 14, FontColor: ink}}
	opt.Padding = charts.NewBox(16, 12, 16, 8)
	nights := len(s.lines[0])
	labels := make([]string, nights)
	for i := range labels {
		labels[i] = fmt.Sprint(i + 1)
	}
	axis := charts.FontStyle{FontSize: 11, FontColor: grey}
	opt.XAxis = charts.XAxisOption{Labels: labels, LabelCount: min(nights, 16), LabelFontStyle: axis, Title: "night",
		TitleFontStyle: axis, BoundaryGap: charts.Ptr(false)}
	step := 10.0
	if s.most-s.low > 60 {
		step = 20
	}
	opt.YAxis = []charts.YAxisOption{{Min: &s.low, Max: &s.most, LabelCount: int((s.most-s.low)/step) + 1,
		LabelFontStyle: axis}}
	opt.ValueFormatter = func(x float64) string { return fmt.Sprintf("%.0f", x) }
	opt.Symbol = charts.Symbol{Shape: charts.SymbolNone}
	opt.LineStrokeWidth = 3
	opt.FillArea = charts.Ptr(len(s.lines) == 1 && s.low == 0) // an area that does not begin at nothing misleads
	opt.FillOpacity = 36
	opt.Legend = charts.LegendOption{SeriesNames: names, Show: charts.Ptr(legend),
		FontStyle: charts.FontStyle{FontSize: 12, FontColor: ink}, Offset: charts.OffsetRight}
	return p.LineChart(opt)
}
