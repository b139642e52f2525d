package picture

import (
	"math"

	"github.com/go-analyze/charts"
)

// fine is how many dots of a PNG stand for one point.
const fine = 2

// PNG draws the sheet as dots, two for each point.
func (s *Sheet) PNG() ([]byte, error) {
	w, h := dots(s.Width), dots(s.Height)
	p := charts.NewPainter(charts.PainterOptions{OutputFormat: charts.ChartOutputPNG, Width: w, Height: h,
		Theme: charts.GetTheme(charts.ThemeLight)})
	ground := colour(inkGround)
	p.FilledRect(0, 0, w, h, ground, ground, 0)
	for i := range s.marks {
		s.marks[i].png(p)
	}
	return p.Bytes()
}

func (m *mark) png(p *charts.Painter) {
	c := colour(m.ink)
	at := make([]charts.Point, len(m.at))
	for i, q := range m.at {
		at[i] = charts.Point{X: dots(q.x), Y: dots(q.y)}
	}
	inside, edge := c, 0.0
	if m.hollow {
		inside, edge = colour(inkGround), 1.5*fine
	}
	switch m.kind {
	case stroke:
		if m.dashed {
			p.DashedLineStroke(at, c, m.width*fine, []float64{5 * fine, 4 * fine})
			return
		}
		p.LineStroke(at, c, m.width*fine)
	case area:
		p.FillArea(append(at, at[0]), inside)
		if m.hollow {
			p.LineStroke(append(at, at[0]), c, edge)
		}
	case disc:
		p.Circle(m.width*fine, at[0].X, at[0].Y, inside, c, edge)
	case text:
		font := charts.FontStyle{FontSize: m.width * fine * perPoint, FontColor: c}
		if m.bold {
			font.Font = charts.GetFont(charts.FontFamilyNotoSansBold)
		}
		x := at[0].X
		switch wide := p.MeasureText(m.words, 0, font).Width(); m.end {
		case 'm':
			x -= wide / 2
		case 'r':
			x -= wide
		}
		p.Text(m.words, x, at[0].Y, 0, font)
	}
}

// perPoint turns a size of ours into the painter's, which has 96 dots an inch
// where a size has 72.
const perPoint = 72.0 / 96.0

func dots(x float64) int { return int(math.Round(x * fine)) }

func colour(i ink) charts.Color {
	c := colours[i]
	return charts.Color{R: c[0], G: c[1], B: c[2], A: 255}
}
