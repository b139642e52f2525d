package picture

import (
	"math"
	"unicode/utf8"
)

// The widths of a drawing, in points: a telephone's, and the most.
const (
	Phone  = 390
	Widest = 1600
)

const (
	textSize  = 12.0
	titleSize = 15.0
	lineStep  = 17.0
)

// ink names how a mark is drawn; a page's style sheet goes by the same names.
type ink string

const (
	inkText   ink = "text"
	inkSoft   ink = "soft"
	inkRule   ink = "rule"
	inkGround ink = "ground"
	inkBand   ink = "band"
	inkPlace  ink = "place" // where the appliance stands
	inkOther  ink = "other" // the same beside it: the other side, the other plan
	inkSnore  ink = "snore"
	inkPain   ink = "pain"
	inkLimit  ink = "limit"
	inkFlag   ink = "flag"
)

// colours are told apart by everyone and, by their lightness, without colour:
// common practice, no source.
var colours = map[ink][3]uint8{
	inkText: {0x23, 0x26, 0x2f}, inkSoft: {0x5a, 0x5e, 0x6c}, inkRule: {0xd9, 0xd3, 0xc5}, inkGround: {0xff, 0xfd, 0xf8},
	inkBand: {0xe6, 0xe1, 0xd4}, inkPlace: {0x1f, 0x3d, 0x8f}, inkOther: {0xa4, 0x50, 0x1d}, inkSnore: {0x2c, 0x6b, 0x6b},
	inkPain: {0xb5, 0x65, 0x3a}, inkLimit: {0x23, 0x26, 0x2f}, inkFlag: {0x9d, 0x1f, 0x2f},
}

type point struct{ x, y float64 }

type markKind uint8

const (
	stroke markKind = iota
	area
	disc
	text
)

// mark is one thing that is drawn.
type mark struct {
	kind   markKind
	ink    ink
	at     []point
	width  float64 // of a stroke; radius of a disc; size of a text
	dashed bool
	hollow bool // an area or a disc: its outline, the ground within
	words  string
	end    byte // of a text: 'l' begins at its point, 'm' has it in the middle, 'r' ends there
	bold   bool
}

// night is a place of the drawing that stands for one night.
type night struct {
	date       string
	x, y, w, h float64
}

// Sheet is a finished drawing.
type Sheet struct {
	Title, Told   string // its name, and what it shows in a sentence, for who cannot see it
	Width, Height float64
	Lang          string
	marks         []mark
	nights        []night
}

func newSheet(width int) *Sheet {
	return &Sheet{Width: float64(min(max(width, 320), Widest))}
}

func (s *Sheet) line(i ink, width float64, dashed bool, at ...point) {
	if len(at) > 1 {
		s.marks = append(s.marks, mark{kind: stroke, ink: i, at: at, width: width, dashed: dashed})
	}
}

func (s *Sheet) rect(i ink, x, y, w, h float64, hollow bool) {
	s.marks = append(s.marks, mark{kind: area, ink: i, hollow: hollow,
		at: []point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}})
}

func (s *Sheet) disc(i ink, x, y, r float64, hollow bool) {
	s.marks = append(s.marks, mark{kind: disc, ink: i, at: []point{{x, y}}, width: r, hollow: hollow})
}

// diamond stands on its point; a triangle points up or down.
func (s *Sheet) diamond(i ink, x, y, r float64, hollow bool) {
	s.marks = append(s.marks, mark{kind: area, ink: i, hollow: hollow,
		at: []point{{x, y - r}, {x + r, y}, {x, y + r}, {x - r, y}}})
}

func (s *Sheet) triangle(i ink, x, y, r float64, down bool) {
	if down {
		r = -r
	}
	w := math.Abs(r)
	s.marks = append(s.marks, mark{kind: area, ink: i, at: []point{{x, y - r}, {x + w, y + r}, {x - w, y + r}}})
}

func (s *Sheet) cross(i ink, x, y, r float64) {
	s.line(i, 1.5, false, point{x - r, y - r}, point{x + r, y + r})
	s.line(i, 1.5, false, point{x - r, y + r}, point{x + r, y - r})
}

func (s *Sheet) say(i ink, size, x, y float64, end byte, words string) {
	if words != "" {
		s.marks = append(s.marks, mark{kind: text, ink: i, at: []point{{x, y}}, width: size, words: words, end: end})
	}
}

func (s *Sheet) head(x, y float64, words string) {
	s.say(inkText, titleSize, x, y, 'l', words)
	s.marks[len(s.marks)-1].bold = true
}

// wide is about how wide a text is: letters of a plain face, a little too wide
// rather than too narrow.
func wide(words string, size float64) float64 {
	return float64(utf8.RuneCountInString(words)) * size * 0.56
}

// lines breaks a text between words.
func lines(words string, size, most float64) (out []string) {
	line := ""
	for word := range fields(words) {
		if line != "" && wide(line+" "+word, size) > most {
			out, line = append(out, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(out, line)
}
