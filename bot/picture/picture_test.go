package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"image"
	_ "image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/estimate"
	"duskdawn/locales"
)

var pictures = flag.String("pictures", "", "a directory for the pictures that are drawn")

func words(t *testing.T) *locales.Words {
	t.Helper()
	w, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

var monday = civil.DateOf(2026, 3, 2)

// invented is a course that goes on, gets sore, rests and goes on again.
func invented(nights int, scores, twoSided bool) *Course {
	c := &Course{Label: "Heron-04", Start: 4000, Appliance: chart.Appliance{Step: 250, TwoSided: twoSided, Offset: 1},
		Limits: chart.Limits{Ceiling: 12, Target: 3}}
	at := chart.Steps(0)
	for i := range nights {
		n := Night{Date: monday + civil.Date(i), Known: i%11 != 5, Moved: Advised,
			Worn: chart.Num(chart.WornAll), Rule: "P15"}
		if i%4 == 3 && at < 9 {
			at++
		}
		if i%23 == 17 {
			at -= 2
			n.Raised = "S"
		}
		n.Rest = i%23 > 16
		if i%31 == 30 {
			at, n.Moved = at+1, Desk
		}
		n.Left, n.Right = at, at+1
		switch i % 9 {
		case 4:
			n.Worn = chart.Num(chart.WornPart)
		case 6:
			n.Worn = chart.Num(chart.WornNo)
		case 8:
			n.Worn = chart.Unknown
		}
		if scores {
			n.Snoring, n.Reporter = chart.Num(max(9-int(at), 0)), chart.Num(1+i%3)
			n.Pain = chart.Num(i * 7 % 6)
		}
		c.Nights = append(c.Nights, n)
	}
	return c
}

func drawn(t *testing.T) map[string]func(lang string, width int) *Sheet {
	w := words(t)
	of := func(c *Course) func(string, int) *Sheet {
		return func(lang string, width int) *Sheet { return c.Draw(w, lang, width) }
	}
	simple, tried := invented(30, true, false), invented(30, true, false)
	simple.Simple = true
	for i := range tried.Nights {
		tried.Nights[i].Tried, tried.Nights[i].Other = true, chart.Steps(i/3)
	}
	rel := &Relapse{Label: "Heron-04"}
	for i := range 40 {
		rel.Reports = append(rel.Reports, estimate.Report{Night: monday + civil.Date(i*3),
			Score: 1 + i%3 + i/20*3, Refer: i < 16})
	}
	pr := &Practice{}
	for i := range 200 {
		pr.Patients = append(pr.Patients, Stand{Label: fmt.Sprintf("Siskin-%03d", i),
			State: chart.Settling + chart.State(i%7), Waits: i % 41 / 40, Stopped: i%67 == 66, Silent: i % 9, Paused: i%50 == 20})
	}
	trial := &Trial{Title: "100 virtual patients, 60 nights", Note: "A model.", Names: []string{"one.toml", "two.toml"}}
	for _, name := range []string{"Settled, %", "Sore, %"} {
		p := Panel{Name: name, Most: 100, Lines: make([][]float64, 2)}
		for i := range 60 {
			p.Lines[0] = append(p.Lines[0], float64(i))
			p.Lines[1] = append(p.Lines[1], 80-float64(i)/2)
		}
		trial.Panels = append(trial.Panels, p)
	}
	return map[string]func(string, int) *Sheet{
		"none": of(invented(0, true, false)), "one": of(invented(1, true, false)), "month": of(invented(30, true, false)),
		"year": of(invented(400, true, false)), "unscored": of(invented(30, false, false)),
		"sides":  of(invented(30, true, true)),
		"simple": of(simple), "tried": of(tried),
		"relapse":  func(lang string, width int) *Sheet { return rel.Draw(w, lang, width) },
		"few":      func(lang string, width int) *Sheet { return (&Relapse{Label: "x"}).Draw(w, lang, width) },
		"practice": func(lang string, width int) *Sheet { return pr.Draw(w, lang, width) },
		"nobody":   func(lang string, width int) *Sheet { return (&Practice{}).Draw(w, lang, width) },
		"trial":    func(_ string, width int) *Sheet { return trial.Draw(width) },
	}
}

// Every picture, in every language and at a telephone's width and a wide one,
// is whole: XML that can be read, dots of the right size, and nothing outside of it.
func TestEveryPictureIsWhole(t *testing.T) {
	for name, draw := range drawn(t) {
		for _, lang := range words(t).Languages() {
			for _, width := range []int{Phone, 900} {
				s := draw(lang, width)
				where := fmt.Sprintf("%s-%s-%d", name, lang, width)
				svg := s.SVG()
				for dec := xml.NewDecoder(bytes.NewReader(svg)); ; {
					if _, err := dec.Token(); errors.Is(err, io.EOF) {
						break
					} else if err != nil {
						t.Fatal(where, err)
					}
				}
				if bytes.Contains(svg, []byte("NaN")) || bytes.Contains(svg, []byte("Inf")) ||
					bytes.Contains(svg, []byte("style=")) {
					t.Error(where, "holds NaN, Inf or a style")
				}
				png, err := s.PNG()
				if err != nil {
					t.Fatal(where, err)
				}
				img, _, err := image.DecodeConfig(bytes.NewReader(png))
				if err != nil || img.Width != fine*width || img.Height != dots(s.Height) {
					t.Error(where, err, img)
				}
				for _, m := range s.marks {
					for _, p := range m.at {
						if p.x < 0 || p.x > s.Width || p.y < 0 || p.y > s.Height {
							t.Errorf("%s: %q %s at %v is outside of %v x %v", where, m.words, m.ink, p, s.Width, s.Height)
						}
					}
					if m.kind == text && (strings.Contains(m.words, "picture.") || m.width < textSize) {
						t.Errorf("%s: %q, %v points", where, m.words, m.width)
					}
				}
				if s.Title == "" || s.Told == "" {
					t.Error(where, "says nothing to who cannot see it")
				}
				if *pictures != "" {
					for ext, raw := range map[string][]byte{".svg": svg, ".png": png} {
						if err := os.WriteFile(filepath.Join(*pictures, where+ext), raw, 0o600); err != nil {
							t.Fatal(err)
						}
					}
				}
			}
		}
	}
}

// No text stands on another one, as far as the widths reckoned with go.
func TestTextsStandApart(t *testing.T) {
	for name, draw := range drawn(t) {
		for _, lang := range words(t).Languages() {
			s := draw(lang, Phone)
			type box struct {
				mark
				l, r float64
			}
			var all []box
			for _, m := range s.marks {
				if m.kind != text {
					continue
				}
				w, x := wide(m.words, m.width)*0.92, m.at[0].x
				b := box{m, x, x + w}
				switch m.end {
				case 'm':
					b.l, b.r = x-w/2, x+w/2
				case 'r':
					b.l, b.r = x-w, x
				}
				for _, o := range all {
					if b.l < o.r && o.l < b.r && math.Abs(o.at[0].y-m.at[0].y) < 9 {
						t.Errorf("%s-%s: %q stands on %q", name, lang, m.words, o.words)
					}
				}
				all = append(all, b)
			}
		}
	}
}

// luminance of a colour and the contrast of two are reckoned as WCAG 2.2 says.
func luminance(c [3]uint8) (l float64) {
	for i, share := range []float64{0.2126, 0.7152, 0.0722} {
		v := float64(c[i]) / 255
		if v <= 0.04045 {
			l += share * v / 12.92
		} else {
			l += share * math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return l
}

func contrast(a, b ink) float64 {
	x, y := luminance(colours[a]), luminance(colours[b])
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// Texts and marks stand out from the ground, on a rest too.
func TestInksStandOut(t *testing.T) {
	for i := range colours {
		least := 3.0
		switch i {
		case inkGround, inkBand, inkRule:
			continue
		case inkText, inkSoft, inkFlag, inkLimit:
			least = 4.5
		}
		for _, on := range []ink{inkGround, inkBand} {
			if got := contrast(i, on); got < least {
				t.Errorf("%s on %s: %.1f to 1, want %.1f", i, on, got, least)
			}
		}
	}
}

// What is known by one's own word is told apart from silence, and who moved the
// appliance from who did not, by shape.
func TestShapesTellApart(t *testing.T) {
	c := invented(40, true, false)
	marks := func() (n int) { return len(c.Draw(words(t), "en", Phone).marks) }
	before := marks()
	c.Nights[0].Pain = chart.Unknown
	if got := marks(); got != before-1 {
		t.Errorf("%d marks with a pain of 0, %d without an answer", before, got)
	}
	legends := c.Draw(words(t), "en", Phone).SVG()
	for _, say := range []string{"resting", "set by the practice", "set back", "moved on",
		"heard by the partner", "by oneself",
		"by a recorder", "not worn", "not known", "ceiling 12", "target 3", "5.25 mm"} {
		if !bytes.Contains(legends, []byte(say)) {
			t.Errorf("nothing says %q", say)
		}
	}
	if es := c.Draw(words(t), "es", Phone).SVG(); !bytes.Contains(es, []byte("5,25 mm")) {
		t.Error("a length is not written as Spanish has it")
	}
}

// Words of people become no markup.
func TestHostileLabel(t *testing.T) {
	c := invented(2, true, false)
	c.Label = `<script>alert(1)</script>"&`
	if svg := c.Draw(words(t), "en", Phone).SVG(); bytes.Contains(svg, []byte("<script")) {
		t.Errorf("%.300s", svg)
	}
}

// A month is drawn night by night and a year in weeks; each mark can be chosen,
// and is then its newest night.
func TestColumns(t *testing.T) {
	for nights, per := range map[int]int{1: 1, 80: 1, 400: 7, 1500: 28} {
		c := invented(nights, true, false)
		cols, got := c.columns(272)
		if got != per || len(cols) != (nights+per-1)/per {
			t.Errorf("%d nights: %d columns of %d", nights, len(cols), got)
		}
		places := c.Draw(words(t), "en", Phone).nights
		if last := c.Nights[nights-1].Date.String(); len(places) != len(cols) || places[len(places)-1].date != last {
			t.Errorf("%d nights: %d can be chosen, not the newest of each of %d marks", nights, len(places), len(cols))
		}
	}
}
