package picture

import (
	"math"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/locales"
)

// Draw lays out the course at a width in points, in a language. A course of no
// nights is drawn too, with nothing in it.
func (c *Course) Draw(words *locales.Words, lang string, width int) *Sheet {
	s := newSheet(width)
	s.Lang = lang
	d := courseDrawing{c: c, s: s, v: voice{words, lang}, left: 44, right: s.Width - 74}
	d.cols, d.per = c.columns(d.right - d.left)
	d.title()
	d.position()
	d.snoring()
	d.pain()
	if !c.Simple {
		d.wear()
		d.flags()
	}
	d.y += 6
	first := civil.Date(0)
	if len(c.Nights) > 0 {
		first = c.Nights[0].Date
	}
	f := d.frame(0, 0, 1)
	f.dates(d.v, first, d.y+18)
	d.y += 42
	d.legend()
	s.Height = d.y + 6
	for i, k := range d.cols {
		newest := k.Date + civil.Date(k.nights-1)
		s.nights = append(s.nights, night{newest.String(), f.x(i) - f.step()/2, d.plot, f.step(), f.bottom - d.plot})
	}
	return s
}

// courseDrawing is a course being laid out, from the top down.
type courseDrawing struct {
	c           *Course
	s           *Sheet
	v           voice
	cols        []column
	per         int
	left, right float64
	y           float64 // where the next part begins
	plot        float64 // where the first one does
	uses        map[string]bool
}

func (d *courseDrawing) frame(height, least, most float64) *frame {
	f := &frame{s: d.s, left: d.left, right: d.right, top: d.y, bottom: d.y + height, least: least, most: most,
		columns: len(d.cols), per: d.per}
	d.y = f.bottom
	return f
}

func (d *courseDrawing) use(what string) {
	if d.uses == nil {
		d.uses = map[string]bool{}
	}
	d.uses[what] = true
}

func (d *courseDrawing) title() {
	d.s.Title = d.v.say("picture.course", message.ArgS("label", d.c.Label))
	if d.c.Simple {
		d.s.Title = d.v.say("picture.own")
	}
	d.s.head(12, 24, d.s.Title)
	n := len(d.c.Nights)
	told := d.v.say("picture.none")
	if n > 0 {
		last, found := d.c.Nights[n-1], false
		for i := n - 1; i >= 0 && !found; i-- {
			last, found = d.c.Nights[i], d.c.Nights[i].Known
		}
		told = d.v.say("picture.nights", message.ArgN("count", n), message.ArgD("from", d.c.Nights[0].Date),
			message.ArgN("year", d.c.Nights[0].Date.Time().Year()), message.ArgD("to", d.c.Nights[n-1].Date),
			message.ArgN("toyear", d.c.Nights[n-1].Date.Time().Year()))
		if found {
			told += " " + d.v.say("picture.now", message.ArgN("n", int(last.Left)),
				message.ArgUM("mm", d.c.Start+chart.Micrometres(last.Left)*d.c.Appliance.Step))
		}
	}
	switch d.per {
	case 7:
		told += " " + d.v.say("picture.weeks")
	case 28:
		told += " " + d.v.say("picture.months")
	}
	d.s.Told = told
	d.y = 30
	for _, line := range lines(told, textSize, d.s.Width-24) {
		d.y += lineStep
		d.s.say(inkSoft, textSize, 12, d.y-2, 'l', line)
	}
	d.y += 34
	d.plot = d.y
}

// position is where it stands, in steps on the left and in millimetres on the
// right, under the ceiling.
func (d *courseDrawing) position() {
	least, most := 0.0, float64(d.c.Limits.Ceiling)
	if d.c.Simple {
		most = 1
	}
	for _, n := range d.c.Nights {
		if n.Known {
			least, most = min(least, float64(min(n.Left, n.Right))), max(most, float64(max(n.Left, n.Right)))
		}
		if n.Tried {
			least, most = min(least, float64(n.Other)), max(most, float64(n.Other))
		}
	}
	f := d.frame(150, least, max(most+0.4, 1))
	for i, k := range d.cols {
		if k.Rest {
			d.use("rest")
			d.s.rect(inkBand, f.x(i)-f.step()/2, f.top, f.step()+0.4, f.bottom-f.top, false)
		}
	}
	ceiling := float64(d.c.Limits.Ceiling)
	f.grid(d.v.say("picture.position"), f.ticks(6), whole, func(v float64) string {
		if !d.c.Simple && math.Abs(f.y(v)-f.y(ceiling)) < lineStep { // the ceiling's name stands there
			return ""
		}
		return d.v.say("picture.mm", message.ArgUM("mm", d.c.Start+chart.Micrometres(v)*d.c.Appliance.Step))
	})
	if !d.c.Simple {
		f.limit(ceiling, d.v.say("picture.ceiling", message.ArgN("n", int(d.c.Limits.Ceiling))))
	}
	if d.c.Appliance.TwoSided {
		d.use("sides")
		d.stairs(f, inkOther, true, func(k column) (float64, bool) { return float64(k.Right), k.Known })
	}
	d.stairs(f, inkPlace, false, func(k column) (float64, bool) { return float64(k.Left), k.Known })
	for i, k := range d.cols {
		x := f.x(i)
		if k.Tried {
			d.use("other")
			d.s.diamond(inkOther, x, f.y(float64(k.Other)), min(4, max(2, f.step()/2)), true)
		}
		if !k.Known || d.c.Simple {
			continue
		}
		y := f.y(float64(k.Left))
		switch {
		case k.moved == Desk:
			d.use("desk")
			d.s.rect(inkPlace, x-4, y-4, 8, 8, true)
		case k.down:
			d.use("back")
			d.s.triangle(inkPlace, x, y, 5, true)
		case k.up && d.per == 1:
			d.use("on")
			d.s.triangle(inkPlace, x, y, 4, false)
		}
	}
	d.y += 36
}

// stairs draws a line that is level through each column, and broken where
// nothing is known.
func (d *courseDrawing) stairs(f *frame, i ink, dashed bool, of func(column) (float64, bool)) {
	var run []point
	width := 2.5
	if dashed {
		width = 2
	}
	for n, k := range d.cols {
		v, ok := of(k)
		if !ok {
			d.s.line(i, width, dashed, run...)
			run = nil
			continue
		}
		x, y := f.x(n), f.y(v)
		run = append(run, point{x - f.step()/2, y}, point{x + f.step()/2, y})
	}
	d.s.line(i, width, dashed, run...)
}

// reporters in the order of the legend, each with a shape of its own.
var reporters = []struct {
	by   int
	name string
}{{chart.ReporterPartner, "picture.by.1"}, {chart.ReporterSelf, "picture.by.2"},
	{chart.ReporterRecorder, "picture.by.3"}, {chart.ReporterNobody, "picture.by.4"}}

func (d *courseDrawing) heard(by chart.Answer, x, y, r float64) {
	switch {
	case by.Is(chart.ReporterPartner):
		d.s.disc(inkSnore, x, y, r, false)
	case by.Is(chart.ReporterSelf):
		d.s.disc(inkSnore, x, y, r, true)
	case by.Is(chart.ReporterRecorder):
		d.s.rect(inkSnore, x-r, y-r, 2*r, 2*r, false)
	default:
		d.s.cross(inkSnore, x, y, r)
	}
}

func (d *courseDrawing) snoring() {
	f := d.frame(84, 0, 10)
	f.grid(d.v.say("picture.snoring"), []float64{0, 5, 10}, whole, nil)
	if !d.c.Simple {
		f.limit(float64(d.c.Limits.Target), d.v.say("picture.target", message.ArgN("n", int(d.c.Limits.Target))))
	}
	for i, k := range d.cols {
		for _, who := range reporters {
			if v, ok := k.snored[chart.Num(who.by)]; ok {
				d.use(who.name)
				d.heard(chart.Num(who.by), f.x(i), f.y(v), min(3.5, max(2, f.step()/2)))
			}
		}
	}
	d.y += 36
}

func (d *courseDrawing) pain() {
	f := d.frame(64, 0, 10)
	f.grid(d.v.say("picture.pain"), []float64{0, 5, 10}, whole, nil)
	for i, k := range d.cols {
		if w := min(max(f.step()*0.6, 1.2), 12); k.pain >= 0 {
			top := min(f.y(float64(k.pain)), f.bottom-2) // none is a low mark, where no answer is nothing
			d.s.rect(inkPain, f.x(i)-w/2, top, w, f.bottom-top, false)
		}
	}
	d.y += 12
}

// wear is a row of squares: worn, a part, not; a dot where nothing is known.
func (d *courseDrawing) wear() {
	d.y += 20
	f := d.frame(14, 0, 1)
	d.s.say(inkSoft, textSize, f.left, f.top-6, 'l', d.v.say("picture.worn"))
	r := min(5, max(1.2, f.step()/2-0.4))
	for i, k := range d.cols {
		x, y := f.x(i), (f.top+f.bottom)/2
		switch known := k.worn + k.part + k.not; {
		case known == 0:
			d.use("unknown")
			d.s.disc(inkSoft, x, y, 1.2, false)
		case k.worn*2 > known:
			d.use("worn")
			d.s.rect(inkText, x-r, y-r, 2*r, 2*r, false)
		case k.worn+k.part > 0:
			d.use("part")
			d.s.rect(inkText, x-r, y-r, 2*r, 2*r, true)
			d.s.rect(inkText, x-r, y, 2*r, r, false)
		default:
			d.use("not")
			d.s.rect(inkText, x-r, y-r, 2*r, 2*r, true)
		}
	}
}

// flags are letters under the night on which they were raised.
func (d *courseDrawing) flags() {
	shown := false
	for i, k := range d.cols {
		if k.Raised == "" {
			continue
		}
		if !shown {
			shown = true
			d.y += 34
			d.s.say(inkSoft, textSize, d.left, d.y-20, 'l', d.v.say("picture.flags"))
		}
		f := frame{s: d.s, left: d.left, right: d.right, columns: len(d.cols)}
		d.s.say(inkFlag, textSize, f.x(i), d.y, 'm', k.Raised)
		d.s.marks[len(d.s.marks)-1].bold = true
	}
}

// legend explains each mark that was used.
func (d *courseDrawing) legend() {
	at := legend{s: d.s, x: 12, y: d.y}
	item := func(use, key string, draw func(x, y float64)) {
		if d.uses[use] {
			at.item(d.v.say(key), draw)
		}
	}
	item("sides", "picture.left", func(x, y float64) { d.s.line(inkPlace, 2.5, false, point{x - 6, y}, point{x + 6, y}) })
	item("sides", "picture.right", func(x, y float64) { d.s.line(inkOther, 2, true, point{x - 6, y}, point{x + 6, y}) })
	item("on", "picture.on", func(x, y float64) { d.s.triangle(inkPlace, x, y, 4, false) })
	item("back", "picture.back", func(x, y float64) { d.s.triangle(inkPlace, x, y, 5, true) })
	item("desk", "picture.desk", func(x, y float64) { d.s.rect(inkPlace, x-4, y-4, 8, 8, true) })
	item("other", "picture.other", func(x, y float64) { d.s.diamond(inkOther, x, y, 4, true) })
	item("rest", "picture.rest", func(x, y float64) { d.s.rect(inkBand, x-6, y-6, 12, 12, false) })
	for _, who := range reporters {
		item(who.name, who.name, func(x, y float64) { d.heard(chart.Num(who.by), x, y, 3.5) })
	}
	item("worn", "picture.all", func(x, y float64) { d.s.rect(inkText, x-5, y-5, 10, 10, false) })
	item("part", "picture.part", func(x, y float64) {
		d.s.rect(inkText, x-5, y-5, 10, 10, true)
		d.s.rect(inkText, x-5, y, 10, 5, false)
	})
	item("not", "picture.not", func(x, y float64) { d.s.rect(inkText, x-5, y-5, 10, 10, true) })
	item("unknown", "picture.unknown", func(x, y float64) { d.s.disc(inkSoft, x, y, 1.2, false) })
	d.y = at.y + lineStep
}

// legend sets items side by side, and on as many lines as they need.
type legend struct {
	s    *Sheet
	x, y float64
}

func (l *legend) item(words string, draw func(x, y float64)) {
	w := 22 + wide(words, textSize) + 14
	if l.x > 12 && l.x+w > l.s.Width {
		l.x, l.y = 12, l.y+lineStep
	}
	draw(l.x+8, l.y-4)
	l.s.say(inkText, textSize, l.x+20, l.y, 'l', words)
	l.x += w
}
