package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// remembered gives a view's course n nights, tonight's the last of them.
func remembered(v *assessment, n int) []chart.Entry {
	for i := range n {
		v.c.Nights[i] = chart.Entry{Night: v.night - civil.Date(n-1-i), Low: v.s.Low, High: v.s.High}
	}
	v.c.N = uint8(n)
	return v.c.Nights[:n]
}

// say puts answers in an entry.
func say(e *chart.Entry, m told) {
	for f, n := range m {
		e.V[f] = chart.Num(n)
	}
}

// P15: the way of the nights D-6 to D. Every move forward counts, on the first
// night too; a way back takes nothing off it; what is said tonight of tonight's
// own advice is no part of it. At most 1.0 mm in 7 nights goes by it
// (doi 10.1378/chest.125.5.1761).
func TestMovedBounds(t *testing.T) {
	const silent = -1
	for name, x := range map[string]struct {
		said []int // night by night, tonight's the last
		want chart.Micrometres
	}{
		"on the first night":          {[]int{2, 2, silent}, 1000},
		"forward, back, forward":      {[]int{0, 1, 0, 1, silent}, 1000},
		"before the window, one left": {[]int{3, 3, 3, 3, 3, 3, 3, silent}, 0},
		"on the oldest night of it":   {[]int{0, 3, 3, 3, 3, 3, 3, silent}, 1500},
		"said of tonight":             {[]int{0, 0, 5}, 0},
	} {
		v := atSetting(0, nil)
		at := chart.Steps(0)
		for i, e := range remembered(v, len(x.said)) {
			if s := x.said[i]; s != silent {
				at = chart.Steps(s)
				e.V[chart.SettingLeft] = chart.Num(s)
			}
			e.Low, e.High = at, at
			v.c.Nights[i] = e
		}
		if got := v.moved(); got != x.want {
			t.Errorf("%s: %d micrometres, want %d", name, got, x.want)
		}
	}
	// A night without a word before the window: from where it stood then, or
	// where the word before says since, whichever makes the way longer.
	for _, x := range [][2]chart.Steps{{3, 0}, {0, 3}, {0, 0}} { // the word before, the night without one
		v := atSetting(3, nil)
		es := remembered(v, 9)
		for i := range es {
			if i != 1 {
				es[i].V[chart.SettingLeft] = chart.Num(3)
			}
		}
		es[0].V[chart.SettingLeft], es[0].Low, es[1].Low = chart.Num(int(x[0])), x[0], x[1]
		if got := v.moved(); got != 1500 {
			t.Errorf("from %d or %d to 3: %d micrometres", x[0], x[1], got)
		}
	}
	// No word at all before the window: from where it stood then.
	v := atSetting(3, nil)
	es := remembered(v, 9)
	for i := range es[2:] {
		es[2+i].V[chart.SettingLeft] = chart.Num(3)
	}
	if es[1].Low = 0; v.moved() != 1500 {
		t.Errorf("without a word before: %d micrometres", v.moved())
	}
	// A step that may have been made, the night after that it surely was not, and a step said: two.
	v = atSetting(1, nil)
	es = remembered(v, 5)
	es[0].V[chart.SettingLeft], es[3].V[chart.SettingLeft] = chart.Num(0), chart.Num(1)
	es[1].High, es[3].Low, es[3].High = 1, 1, 1
	if es[2].High = 0; v.moved() != 1000 {
		t.Errorf("made, set back and made again: %d micrometres", v.moved())
	}
}

// A stay never names a setting under the start.
func TestKeepIsNeverUnderTheStart(t *testing.T) {
	for left, want := range map[chart.Steps]chart.Steps{-1: 0, 0: 0, 1: 1} {
		for _, doubt := range []bool{false, true} {
			v := atSetting(left, func(v *assessment) { v.s.InDoubt = doubt })
			if got := v.keep(); got != want {
				t.Errorf("at %d, in doubt %v: stay at %d", left, doubt, got)
			}
		}
	}
}

// From which night on each count counts: that night is part of it, the night
// before is not.
func TestCountsBeginOnTheirNight(t *testing.T) {
	// over an hour: common practice; moderate pain: doi 10.2147/JPR.S75192
	away, sore := told{chart.BiteMinutes: 61}, told{chart.Pain: 6}
	for name, x := range map[string]struct {
		back int // the morning's night, so many nights ago
		said told
		set  func(c *Course, from civil.Date)
		got  func(v *assessment) bool
	}{
		"P07, two of seven, since the last way back": {1, away, func(c *Course, from civil.Date) { c.Acted = from },
			func(v *assessment) bool { return v.away == 1 }},
		"P07, told late, since the last way back": {2, sore, func(c *Course, from civil.Date) { c.Acted = from },
			func(v *assessment) bool { return v.late == v.night-2 }},
		"P11, not known worn, since it was named": {1, told{}, func(c *Course, from civil.Date) { c.Named = from },
			func(v *assessment) bool { return v.gap == 1 }},
		"P15, doubled, since the rest began": {1, fine(), func(c *Course, from civil.Date) { c.RestFrom, c.State = from, chart.Stepping },
			func(v *assessment) bool { return !v.doubled }},
		"P07, comfortable, since the last visit": {1, fine(), func(c *Course, from civil.Date) { c.Visited = from },
			func(v *assessment) bool { return v.hasGood }},
	} {
		for late, want := range map[civil.Date]bool{0: true, 1: false} {
			v := atSetting(2, func(v *assessment) { v.doubled, v.c.DoubledTo = true, 2 })
			es := remembered(v, 4)
			e := &es[3-x.back]
			say(e, x.said)
			e.Late = soreFields
			x.set(v.c, e.Night+late)
			v.count()
			if got := x.got(v); got != want {
				t.Errorf("%s, and %d nights more: counts %v", name, late, got)
			}
		}
	}
	// a night that is remembered no longer, and a visit on night 10
	for on, want := range map[civil.Date]bool{9: false, 10: true} {
		v := atSetting(2, func(v *assessment) { v.c.GoodOn, v.c.Visited = on, 10 })
		v.count()
		if v.hasGood != want {
			t.Errorf("comfortable on night %d: %v", on, v.hasGood)
		}
	}
}

// P07: two of the last seven mornings: the seventh counts, the eighth does not.
func TestSevenMornings(t *testing.T) {
	for back, want := range map[int]int{7: 1, 8: 0} {
		v := atSetting(2, nil)
		es := remembered(v, 10)
		say(&es[9-back], told{chart.BiteMinutes: 61})
		if v.count(); v.away != want {
			t.Errorf("%d mornings ago: %d", back, v.away)
		}
	}
}

// P13, P14: the last fourteen nights: the fourteenth is one of them, the fifteenth
// and tonight are not.
func TestReportsOfFourteenNights(t *testing.T) {
	for n, want := range map[int]int{1: 0, 2: 1, 14: 13, 15: 14, 16: 14} {
		v := atSetting(2, nil)
		remembered(v, n)
		nights := 0
		for e := range v.nights {
			if nights++; e.Night != v.night-civil.Date(nights) {
				t.Errorf("of %d: night %d ago is %d", n, nights, v.night-e.Night)
			}
		}
		if nights != want {
			t.Errorf("of %d: %d nights", n, nights)
		}
	}
}

// Nothing is known of the night before the oldest that is remembered.
func TestLookAtTheOldestNight(t *testing.T) {
	k := trial(t)
	k.nights(30, fine())
	oldest := k.c.Nights[0].Night
	if v := k.c.assess(k.f, oldest); v.last != nil {
		t.Errorf("%+v", v.last)
	}
	if v := k.c.assess(k.f, oldest+1); v.last != &k.c.Nights[0] {
		t.Errorf("%+v", v.last)
	}
}
