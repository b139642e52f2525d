package picture

import (
	"math"

	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/locales"
)

// voice puts a drawing's labels into a reader's words.
type voice struct {
	words *locales.Words
	lang  string
}

func (v voice) say(key string, args ...message.Arg) string {
	return v.words.Line(v.lang, message.Say(key, args...))
}

// frame is a part of a sheet with its own upright scale.
type frame struct {
	s            *Sheet
	left, right  float64
	top, bottom  float64
	least, most  float64
	columns, per int
}

// x is the middle of a column, y the height of a value.
func (f *frame) x(i int) float64 { return f.left + (float64(i)+0.5)*f.step() }

func (f *frame) step() float64 { return (f.right - f.left) / float64(max(f.columns, 1)) }

func (f *frame) y(v float64) float64 {
	return f.bottom - (v-f.least)/max(f.most-f.least, 1e-9)*(f.bottom-f.top)
}

// ticks are some round values between the ends of the scale.
func (f *frame) ticks(most int) (out []float64) {
	step := 1.0
	for _, nice := range []float64{1, 2, 5, 10, 20, 50, 100, 200, 500} {
		if step = nice; (f.most-f.least)/nice <= float64(most) {
			break
		}
	}
	for v := math.Ceil(f.least/step) * step; v <= f.most+1e-9; v += step {
		out = append(out, v)
	}
	return out
}

// grid draws the values of the scale, on the left; name stands above it.
func (f *frame) grid(name string, ticks []float64, label, other func(float64) string) {
	f.s.say(inkSoft, textSize, f.left, f.top-8, 'l', name)
	for _, v := range ticks {
		y := f.y(v)
		f.s.line(inkRule, 1, false, point{f.left, y}, point{f.right, y})
		f.s.say(inkSoft, textSize, f.left-6, y+4, 'r', label(v))
		if other != nil {
			f.s.say(inkSoft, textSize, f.right+6, y+4, 'l', other(v))
		}
	}
}

func whole(v float64) string { return number(v) }

// dates writes some days under the columns, as many as there is room for.
func (f *frame) dates(v voice, first civil.Date, y float64) {
	room := f.right - f.left
	show := min(max(int(room/96), 1), max(f.columns, 1))
	every := (f.columns + show - 1) / max(show, 1)
	for i := 0; i < f.columns; i += max(every, 1) {
		words := v.say("picture.day", message.ArgD("date", first+civil.Date(i*f.per)))
		x, end := f.x(i), byte('m')
		switch half := wide(words, textSize) / 2; {
		case x-half < f.left:
			x, end = f.left, 'l'
		case x+half > f.s.Width-4:
			x, end = f.s.Width-4, 'r'
		}
		f.s.line(inkSoft, 1, false, point{f.x(i), f.bottom}, point{f.x(i), f.bottom + 4})
		f.s.say(inkSoft, textSize, x, y, end, words)
	}
}

// limit is a dashed line across with its name beside its end.
func (f *frame) limit(value float64, name string) {
	y := f.y(value)
	f.s.line(inkLimit, 1.5, true, point{f.left, y}, point{f.right, y})
	f.s.say(inkText, textSize, f.right+6, y+4, 'l', name)
}
