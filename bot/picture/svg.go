package picture

import (
	"encoding/xml"
	"fmt"
	"iter"
	"strconv"
	"strings"
)

func fields(words string) iter.Seq[string] { return strings.FieldsSeq(words) }

// SVG writes the sheet with attributes alone, no style sheet and no script, so
// that a strict page may show it. Each mark has its ink's name as its class, and
// each night that can be chosen a place with its date.
func (s *Sheet) SVG() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%[1]s" height="%[2]s" role="img"`+
		` lang="%s" font-family="system-ui, sans-serif">`, number(s.Width), number(s.Height), escaped(s.Lang))
	fmt.Fprintf(&b, "<title>%s</title><desc>%s</desc>", escaped(s.Title), escaped(s.Told))
	fmt.Fprintf(&b, `<rect class="ground" width="%s" height="%s" fill="%s"/>`, number(s.Width), number(s.Height),
		hex(inkGround))
	for i := range s.marks {
		s.marks[i].svg(&b)
	}
	for _, n := range s.nights {
		fmt.Fprintf(&b, `<rect class="night" data-night="%s" x="%s" y="%s" width="%s" height="%s"`+
			` fill="none" pointer-events="all"/>`,
			escaped(n.date), number(n.x), number(n.y), number(n.w), number(n.h))
	}
	b.WriteString("</svg>\n")
	return []byte(b.String())
}

func (m *mark) svg(b *strings.Builder) {
	c, p := hex(m.ink), m.at[0]
	switch m.kind {
	case stroke:
		fmt.Fprintf(b, `<path class="s-%s" d="%s" fill="none" stroke="%s" stroke-width="%s"`, m.ink, path(m.at), c,
			number(m.width))
		if m.dashed {
			b.WriteString(` stroke-dasharray="5 4"`)
		}
		b.WriteString("/>")
	case area:
		fmt.Fprintf(b, `<path class="%s" d="%sZ" %s/>`, m.class(), path(m.at), m.fill(c))
	case disc:
		fmt.Fprintf(b, `<circle class="%s" cx="%s" cy="%s" r="%s" %s/>`, m.class(), number(p.x), number(p.y), number(m.width),
			m.fill(c))
	case text:
		weight := ""
		if m.bold {
			weight = ` font-weight="600"`
		}
		anchor := map[byte]string{'l': "start", 'm': "middle", 'r': "end"}[m.end]
		fmt.Fprintf(b, `<text class="f-%s" x="%s" y="%s" font-size="%s" fill="%s" text-anchor="%s"%s>%s</text>`, m.ink,
			number(p.x), number(p.y), number(m.width), c, anchor, weight, escaped(m.words))
	}
}

func (m *mark) class() string {
	if m.hollow {
		return "h-" + string(m.ink)
	}
	return "f-" + string(m.ink)
}

func (m *mark) fill(c string) string {
	if m.hollow {
		return fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="1.5"`, hex(inkGround), c)
	}
	return fmt.Sprintf(`fill="%s"`, c)
}

func path(at []point) string {
	var b strings.Builder
	for i, p := range at {
		b.WriteByte("ML"[min(i, 1)])
		b.WriteString(number(p.x) + " " + number(p.y))
	}
	return b.String()
}

// number writes a length to a tenth of a point.
func number(x float64) string {
	s := strconv.FormatFloat(x, 'f', 1, 64)
	return strings.TrimSuffix(s, ".0")
}

func hex(i ink) string {
	c := colours[i]
	return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2])
}

// escaped makes a text safe between tags and within quotes.
func escaped(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a Builder takes everything
	return b.String()
}
