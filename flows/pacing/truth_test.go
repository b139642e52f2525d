package pacing

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// body is where the appliance of a patient stands who turns it only as told, wholly or not at
// all, and tells nothing but the truth, or takes back what was not.
type body struct {
	left, right chart.Steps
	was         [2]chart.Steps // where it stood the night before
}

// (Its forward way is measured from where it stood lowest in seven nights: what was never said
// to have been turned cannot be counted twice.)
//
// An appliance that is turned only as told, by somebody who may leave any word out and any
// evening's advice half done, stands where a step forward starts from, whenever one is told;
// and it never goes on by more than a step a night or 1.0 mm in seven.
func TestATruthfulPatientStandsWhereAStepStarts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		two := rapid.Bool().Draw(t, "two")
		k := &bench{d: day0, f: Facts{Plan: &chart.Plan{Rev: 1, Fitted: day0, Limits: chart.Limits{
			Ceiling: chart.Steps(rapid.IntRange(1, 6).Draw(t, "ceiling")), Settle: 1, Interval: int16(rapid.IntRange(1, 3).Draw(t, "interval")),
			RestMornings: 1, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}},
			Appliance: &chart.Appliance{Step: chart.Micrometres(rapid.SampledFrom([]int{100, 250, 500}).Draw(t, "step")), Travel: 20, TwoSided: two,
				Offset: chart.Steps(rapid.IntRange(-1, 1).Draw(t, "offset"))},
			Baseline: &chart.Baseline{Pain: chart.Num(0), Reporter: chart.Num(chart.ReporterPartner), Snoring: chart.Num(8)}}}
		k.c.Begin(k.f, k.d)
		off := k.f.offset()
		b := body{right: off}
		var stood []chart.Steps // before each night
		one := func(p int, what string) bool { return rapid.IntRange(1, p).Draw(t, what) == 1 }
		for range rapid.IntRange(5, 40).Draw(t, "nights") {
			b.was = [2]chart.Steps{b.left, b.right}
			start := b.left
			advise := func() {
				last := k.c.Advice
				a, _ := k.c.Advise(k.f, k.d)
				if a.Breach {
					t.Fatalf("breach %+v, at %+v, %+v", a, b, k.c.position())
				}
				if a.Number == last.Number {
					return
				}
				if a.Night == last.Night && last.Action != chart.NoAction && !a.SaferThan(&last) {
					t.Fatalf("%+v replaces %+v", a, last)
				}
				if a.Action == chart.Forward && (a.To != b.left+1 || b.right-b.left != off || k.c.Open() || k.f.Held) {
					t.Fatalf("%+v, it stands at %+v; %+v", a, b, k.c.position())
				}
				if a.Action == chart.LeaveOut || one(3, "not done") {
					return
				}
				turn := func(at *chart.Steps, to chart.Steps) {
					if a.Action == chart.Forward || *at > to {
						*at = to
					}
				}
				if !one(6, "left alone") {
					turn(&b.left, a.To)
				}
				if !one(6, "right alone") || !two {
					turn(&b.right, a.To+off)
				}
				if !two {
					b.right = b.left
				}
			}
			say := func(night civil.Date, left, right chart.Steps) {
				switch {
				case !two:
					k.c.Answer(k.f, night, chart.SettingLeft, chart.Num(int(left)), chart.FromPatient)
				case one(4, "one side"):
					if one(2, "which") {
						k.c.Answer(k.f, night, chart.SettingRight, chart.Unknown, chart.FromPatient)
						k.c.Answer(k.f, night, chart.SettingLeft, chart.Num(int(left)), chart.FromPatient)
						k.c.HearSide(k.f, night, chart.SettingLeft, left)
					} else {
						k.c.Answer(k.f, night, chart.SettingLeft, chart.Unknown, chart.FromPatient)
						k.c.Answer(k.f, night, chart.SettingRight, chart.Num(int(right)), chart.FromPatient)
						k.c.HearSide(k.f, night, chart.SettingRight, right)
					}
				default:
					k.c.Confirm(k.f, night, left, right)
				}
			}
			for range rapid.IntRange(0, 2).Draw(t, "before") {
				k.anyDeed(t, &b, say, off, false)
			}
			advise()
			for range rapid.IntRange(0, 4).Draw(t, "evening") {
				k.anyDeed(t, &b, say, off, true)
				advise()
			}
			if !one(4, "unsaid") {
				say(k.d, b.left, b.right)
			}
			stood = append(stood, start)
			if rise := b.left - slices.Min(stood[max(0, len(stood)-7):]); b.left > start+1 || chart.Micrometres(rise)*k.f.Appliance.Step > chart.TopPace {
				t.Fatalf("from %d to %d, in seven nights by %d", start, b.left, rise)
			}
			easy := fine()
			for f := chart.NoField; f < chart.NumFields; f++ {
				if n, ok := easy[f]; ok {
					k.c.Answer(k.f, k.d, f, chart.Num(n), chart.FromPatient)
				}
			}
			k.d++
			k.f.Held = false
		}
	})
}

// anyDeed is one event of a day: before the evening's advice, or after it.
func (k *bench) anyDeed(t *rapid.T, b *body, say func(civil.Date, chart.Steps, chart.Steps), off chart.Steps, after bool) {
	c := &k.c
	at := civil.Wall{Date: k.d, Clock: 20 * 60}
	switch rapid.IntRange(0, 15).Draw(t, "deed") {
	case 0:
		say(k.d, b.left, b.right)
	case 1: // mistaken, and taken back at once
		c.Answer(k.f, k.d, chart.SettingLeft, chart.Num(int(b.left)+rapid.IntRange(-1, 1).Draw(t, "off")), chart.FromPatient)
		c.Answer(k.f, k.d, chart.SettingLeft, chart.Unknown, chart.FromUndo)
	case 2:
		c.Answer(k.f, k.d, chart.SettingLeft, chart.Unknown, chart.FromUndo)
	case 3: // a late word of last night
		say(k.d-1, b.was[0], b.was[1])
	case 4:
		c.Answer(k.f, k.d-1, chart.SettingLeft, chart.Unknown, chart.FromUndo)
	case 5:
		c.LoseCount()
	case 6:
		c.Raise(k.f, at, rapid.SampledFrom([]string{"piece.broken", "bite.changed", "tooth.loose", "jaw.locked", "chest"}).Draw(t, "flag"))
	case 7:
		c.ReleaseHere(k.f, k.d, "")
	case 8:
		c.Release(k.f, k.d, "", chart.Steps(rapid.IntRange(0, 3).Draw(t, "to")))
	case 9:
		c.Order(k.f, k.d, chart.Steps(rapid.IntRange(1, 6).Draw(t, "to")))
	case 10:
		c.Grant(k.f, k.d, chart.Steps(rapid.IntRange(1, 6).Draw(t, "to")), 0, "s1")
	case 11:
		to := chart.Steps(rapid.IntRange(0, int(b.left)).Draw(t, "to"))
		if c.Visit(k.f, k.d, to) == Done {
			b.left, b.right = to, to+off
		}
	case 12:
		k.f.Held = true
	case 13: // a new plan
		p := *k.f.Plan
		p.Rev++
		p.Limits.Ceiling = max(p.Limits.Ceiling+chart.Steps(rapid.IntRange(-1, 1).Draw(t, "by")), 1)
		k.f.Plan = &p
		c.Renew(k.f, k.d)
	case 14:
		c.Answer(k.f, k.d-1, chart.Pain, chart.Num(rapid.IntRange(0, 9).Draw(t, "pain")), chart.FromPatient)
	case 15:
		if c.Advice.Night == k.d && after { // a copy was restored
			c.LoseCount()
			c.Advice.Action = chart.NoAction
		}
	}
}
