package pacing

import (
	"math/rand/v2"
	"os"
	"testing"

	"duskdawn/flows/chart"
)

// Every evening of random diaries the table says what its text does: of ten thousand with
// the other long tests, else of as many as -courses says.
func TestTableAgainstItsText(t *testing.T) {
	evenings, by := 0, map[int]int{}
	diaries := uint64(*courses)
	if os.Getenv("DUSKDAWN_SIEGE") != "" {
		diaries = max(diaries, 10_000)
	}
	for seed := range diaries {
		rng := dice{t, rand.New(rand.NewPCG(seed, 9)), seed}
		p := chart.Plan{Rev: 1, Fitted: day0, Limits: chart.Limits{Ceiling: chart.Steps(pick(rng, 4, 8, 16)),
			Settle: int16(pick(rng, 1, 3, 5)), Interval: int16(pick(rng, 2, 3, 5)), RestMornings: int16(pick(rng, 2, 3)),
			Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}}
		a := chart.Appliance{Step: chart.Micrometres(pick(rng, 200, 250, 500)), Travel: 40, Guide: true}
		b := chart.Baseline{Max: 9000, Zero: chart.ZeroHabitual, Start: 3000, Pain: chart.Num(0),
			Reporter: chart.Num(chart.ReporterPartner), Sleepy: chart.Num(4)}
		k := &bench{t: t, d: day0, f: Facts{Plan: &p, Appliance: &a, Baseline: &b}}
		k.c.Begin(k.f, day0)
		s := &sheet{lim: p.Limits, step: int(a.Step), settling: true, confirmed: -1, arrived: -1, limit: -1, acted: -1,
			restarted: -1, backed: map[int]bool{}}
		tone, silent, fade := 2+rng.IntN(8), rng.IntN(12), rng.IntN(3)
		for range 80 {
			got := k.evening0()
			do, to, rule := s.evening()
			if got.Action != do || int(got.To) != to || int(got.Rule) != rule {
				t.Fatalf("diary %d, evening %d: the table says %v to %d by %s (fired %b), its text %v to %d by P%02d\n%+v", seed,
					len(s.nights), got.Action, got.To, got.Rule.ID(), got.Fired, do, to, rule, s.nights[max(len(s.nights)-1, 0):])
			}
			evenings++
			by[rule]++
			if open := k.c.Open(); open != s.flag && !s.over {
				t.Fatalf("diary %d, evening %d: a flag %t, by the text %t", seed, len(s.nights), open, s.flag)
			}
			if s.flag || s.over || s.holding && rng.IntN(3) == 0 {
				break
			}
			said := rng.IntN(14) > 0
			if said {
				k.confirm(got.To)
			}
			n := sheetNight{worn: 1, gone: -1, woken: -1, guide: 1, bite: 5, snore: -1}
			if rng.IntN(4) > 0 {
				n.snore = min(max(tone-fade*s.at/8+rng.IntN(4)-1, 0), 10)
			}
			switch x := rng.IntN(100); {
			case x < silent:
				n = sheetNight{worn: -1, pain: -1, gone: -1, woken: -1, guide: -1, bite: -1, snore: -1}
			case x < silent+3:
				n.worn = 0
			case x < silent+7:
				n.pain, n.woken = 1+rng.IntN(4), 0
				n.gone = pick(rng, chart.GoneMorning, chart.GoneMidday, chart.GoneAfternoon, -1)
			case x < silent+9:
				n.pain, n.woken, n.gone = 5+rng.IntN(3), 0, chart.GoneMorning
			case x < silent+11:
				n.guide = pick(rng, 0, -1)
			case x < silent+13:
				n.bite = pick(rng, 50, 50, 50, 70, 400, -1)
			case x == 99:
				n.pain, n.gone, n.woken = pick(rng, 2, 6, 9), chart.GoneMorning, rng.IntN(2)
			}
			put := func(f chart.Field, v int) {
				if v >= 0 {
					k.c.Answer(k.f, k.d, f, chart.Num(v), chart.FromPatient)
				}
			}
			put(chart.Worn, map[int]int{-1: -1, 0: chart.WornNo, 1: chart.WornAll}[n.worn])
			put(chart.Pain, n.pain)
			put(chart.Gone, n.gone)
			put(chart.Woken, map[int]int{-1: -1, 0: chart.No, 1: chart.Yes}[n.woken])
			put(chart.Guide, map[int]int{-1: -1, 0: chart.No, 1: chart.Yes}[n.guide])
			put(chart.BiteMinutes, n.bite)
			if n.snore >= 0 {
				put(chart.Reporter, chart.ReporterPartner)
				put(chart.Snoring, n.snore)
			}
			k.d++
			s.night(do, to, rule, said, n)
		}
	}
	t.Logf("%d evenings, by row %v", evenings, by)
	for _, id := range []int{3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18} {
		if by[id] == 0 {
			t.Errorf("P%02d never spoke", id)
		}
	}
}
