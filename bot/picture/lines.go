package picture

import "slices"

// Panel is one quantity over the nights, a line each of what is compared.
type Panel struct {
	Name        string
	Least, Most float64 // of its scale
	Lines       [][]float64
}

// Trial is a picture of panels, one under the other.
type Trial struct {
	Title, Note string
	Names       []string // of the lines
	Panels      []Panel
}

// Draw lays it out. Its words come as they are: a trial is for who runs it.
func (t *Trial) Draw(width int) *Sheet {
	s := newSheet(width)
	s.Lang, s.Title, s.Told = "en", t.Title, t.Note
	y := 6.0
	for _, line := range lines(t.Title, titleSize, s.Width-40) {
		y += 20
		s.head(12, y, line)
	}
	y += 4
	for _, line := range lines(t.Note, textSize, s.Width-24) {
		y += lineStep
		s.say(inkSoft, textSize, 12, y, 'l', line)
	}
	inks := []ink{inkPlace, inkOther}
	var f *frame
	for _, p := range t.Panels {
		y += 36
		nights := 0
		for _, l := range p.Lines {
			nights = max(nights, len(l))
		}
		f = &frame{s: s, left: 44, right: s.Width - 20, top: y, bottom: y + 190, least: p.Least, most: p.Most,
			columns: nights, per: 1}
		f.grid(p.Name, f.ticks(6), whole, nil)
		for i, l := range slices.Backward(p.Lines) {
			at := make([]point, len(l))
			for n, v := range l {
				at[n] = point{f.x(n), f.y(v)}
			}
			s.line(inks[i%2], 2.5, i%2 == 1, at...)
			if len(at) == 1 {
				s.disc(inks[i%2], at[0].x, at[0].y, 3, i%2 == 1)
			}
		}
		y = f.bottom
		every := max((nights+9)/10, 1)
		for n := 0; n < nights; n += every {
			s.say(inkSoft, textSize, f.x(n), y+16, 'm', whole(float64(n+1)))
		}
		y += 20
	}
	l := legend{s: s, x: 12, y: y + 26}
	for i, name := range t.Names {
		l.item(name, func(x, y float64) { s.line(inks[i%2], 2.5, i%2 == 1, point{x - 7, y}, point{x + 7, y}) })
	}
	s.Height = l.y + lineStep
	return s
}
