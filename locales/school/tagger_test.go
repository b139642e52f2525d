package school

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/locales/answer"
	"duskdawn/locales/sentence"
)

// someLessons are lessons of a few sentences, each so often that all their words are heard.
func someLessons(t *testing.T) []tagLesson {
	t.Helper()
	var all []sentence.Sentence
	for range fewestLetters {
		all = append(all, sentence.Sentence{Class: 'D', Text: "pain 3, wore it seven hours", Expected: "pain=3 hours=7"},
			sentence.Sentence{Class: 'D', Text: "no headache; the left one stands at 4", Expected: "headache=no left=4"},
			sentence.Sentence{Class: 'H', Text: "thanks a lot"})
	}
	ls, err := tagLessons(all)
	if err != nil {
		t.Fatal(err)
	}
	return ls
}

// loss is what a pass that heard a lesson has wrong: minus the logarithm of what it gives to what is meant.
func loss(ways, roles []float32, l *tagLesson) (all float64) {
	for _, way := range l.ways {
		if way >= 0 {
			all -= math.Log(float64(ways[way]))
		}
	}
	for k, any := range l.roles {
		share := 0.0
		for _, r := range any {
			share += float64(roles[k*int(answer.NumRoles)+r])
		}
		all -= math.Log(share)
	}
	return all
}

// TestSlopes holds the slopes of every kind of weight to what the loss does when the weight is moved a little.
func TestSlopes(t *testing.T) {
	ls := someLessons(t)
	p := newPupil(ls)
	for i := range p.ears {
		p.ears[i].deafToken, p.ears[i].deafNumber = 0, 0
	}
	for at := range 3 {
		l := &ls[at]
		tokens := answer.Tokens{Inputs: slices.Clone(l.tokens.Inputs), All: slices.Clone(l.tokens.All)}
		tokens.Know(p.Rows)
		of := tagLesson{tokens: tokens, ways: l.ways, roles: l.roles}
		run := func() (all float64) {
			p.pass.Tokens = tokens
			p.Run(&p.pass)
			for i := range p.pass.Ears {
				all += loss(p.pass.Ears[i].Ways, p.pass.Ears[i].Roles, l)
			}
			return all
		}
		p.learn(&of)
		checked := 0
		for which, m := range p.moving() {
			for i := range m.weights {
				if s := m.slope[i]; math.Abs(float64(s)) < 0.05 || i%7 != at {
					continue
				}
				const by = 1e-3
				was, is := m.weights[i], run()
				m.weights[i] = was + by
				up := (run() - is) / by
				m.weights[i] = was - by
				down := (is - run()) / by
				m.weights[i] = was
				near := func(want float64) bool { return math.Abs(float64(m.slope[i])-want) <= 0.05+0.1*math.Abs(want) }
				if !near(up) && !near(down) { // where another token or number is the most, on one side alone
					t.Errorf("lesson %d, weights %d, number %d: slope %.3f, the loss says %.3f and %.3f", at, which, i, m.slope[i], down, up)
				}
				if checked++; checked%50 == 0 {
					break
				}
			}
		}
		if checked < 100 {
			t.Errorf("lesson %d: %d slopes", at, checked)
		}
		for _, m := range p.moving() {
			clear(m.slope)
		}
	}
}

// moving are all weights.
func (p *pupil) moving() []*moving {
	all := []*moving{p.embed}
	for i := range p.ears {
		all = append(all, p.ears[i].all...)
	}
	return all
}

// TestTeachTaggerTwice teaches a few sentences twice: the same bytes, and what was taught is heard.
func TestTeachTaggerTwice(t *testing.T) {
	ls := someLessons(t)
	one, two := teachTagger(ls), teachTagger(ls)
	a, err := one.Bytes([32]byte{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := two.Bytes([32]byte{})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a, b) {
		t.Error("two lessons, two taggers")
	}
	p := pupil{Tagger: one}
	for i := range 3 {
		p.pass.Tokens = answer.Tokens{Inputs: slices.Clone(ls[i].tokens.Inputs), All: slices.Clone(ls[i].tokens.All)}
		p.pass.Tokens.Know(one.Rows)
		p.Run(&p.pass)
		if loss := loss(p.pass.Ways, p.pass.Roles, &ls[i]); loss > 1 {
			t.Errorf("lesson %d is not known: %.2f", i, loss)
		}
	}
}

// TestKeep teaches once what is kept, and again where what is kept is damaged.
func TestKeep(t *testing.T) {
	k := Keep{folder: t.TempDir()}
	ls := someLessons(t)
	one, err := k.tagger(ls)
	if err != nil {
		t.Fatal(err)
	}
	two, err := k.tagger(ls)
	if err != nil || !slices.Equal(one.Embed, two.Embed) {
		t.Error("what is kept is another tagger", err)
	}
	kept, err := os.ReadDir(k.folder)
	if err != nil || len(kept) != 1 {
		t.Fatal(kept, err)
	}
	name := filepath.Join(k.folder, kept[0].Name())
	other, err := answer.NewTagger([]uint32{1}).Bytes([32]byte{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		raw   []byte
		taken bool
	}{{other, true}, {[]byte("damaged"), false}} { // the first shows that what is kept is what is read
		if err := os.WriteFile(name, c.raw, 0o644); err != nil {
			t.Fatal(err)
		}
		three, err := k.tagger(ls)
		if err != nil || (len(three.Rows) == 1) != c.taken {
			t.Errorf("%d bytes: a tagger of %d inputs, %v", len(c.raw), len(three.Rows), err)
		}
	}
}

// TestJoined hears two sentences as one: the tokens of both with a mark or nothing between, every figure's role, and of each question what
// either of them answers; nothing where both do, differently.
func TestJoined(t *testing.T) {
	ls, err := tagLessons([]sentence.Sentence{{Class: 'D', Text: "pain 3, wore it seven hours", Expected: "pain=3 hours=7"},
		{Class: 'D', Text: "no headache; the left one stands at 4", Expected: "headache=no left=4"},
		{Class: 'D', Text: "headache again", Expected: "headache=yes"}})
	if err != nil {
		t.Fatal(err)
	}
	p := newPupil(ls)
	way := func(l *tagLesson, f chart.Field, n int) int {
		w := int(answer.WayOf(f, chart.Num(n)))
		for i, b := range p.blocks {
			if w >= b.From && w < b.To {
				return l.ways[i]
			}
		}
		return -2
	}
	no, yes := int(answer.WayOf(chart.Headache, chart.Num(chart.No))), int(answer.WayOf(chart.Headache, chart.Num(chart.Yes)))
	for range 20 {
		l := p.joined(&ls[0], &ls[1])
		if n := len(l.tokens.All) - len(ls[0].tokens.All) - len(ls[1].tokens.All); n < 0 || n > 1 || len(l.roles) != len(ls[0].roles)+len(ls[1].roles) {
			t.Fatalf("%d tokens more, %d roles", n, len(l.roles))
		}
		last := l.tokens.All[len(l.tokens.All)-1]
		if int(last.To) != len(l.tokens.Inputs) || !last.Figure || way(l, chart.Headache, chart.No) != no {
			t.Errorf("the last token %+v, headache %d", last, way(l, chart.Headache, chart.No))
		}
		if l = p.joined(&ls[2], &ls[0]); way(l, chart.Headache, chart.Yes) != yes {
			t.Error("what the first one answers is gone")
		}
		if l = p.joined(&ls[1], &ls[2]); way(l, chart.Headache, chart.No) != -1 {
			t.Error("two answers are one")
		}
	}
}

// TestTimesWorn teaches which of the times of day are those at which it was put in and taken out, and only where that is plain.
func TestTimesWorn(t *testing.T) {
	none, from, to, pain := int(answer.RoleNone), int(answer.RoleFrom), int(answer.RoleTo), int(answer.RolePain)
	for _, c := range []struct {
		text, expected string
		want           []int
	}{
		{"in at eleven, out by half six, pain 2", "hours=7.5 pain=2", []int{from, to, pain}},
		{"me la puse a las once y diez hasta las cinco y media", "hours=6", []int{none, none, none}},
		{"me la puse a las once y diez hasta las seis y diez", "hours=7", []int{from, from, to, to}},
		{"in at eleven, out by six, back at eleven, out by six", "hours=7", []int{none, none, none, none}},
		{"mon eleven to six, tue ten to eight", "mon/hours=7 tue/hours=10", []int{from, to, from, to}},
	} {
		ls, err := tagLessons([]sentence.Sentence{{Class: 'D', Text: c.text, Expected: c.expected}})
		if err != nil {
			t.Fatal(err)
		}
		var got []int
		for _, roles := range ls[0].roles {
			got = append(got, roles...)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q: roles %v, want %v", c.text, got, c.want)
		}
	}
}
