package pacing

import (
	"testing"

	"duskdawn/flows/chart"
)

// The blanks of the second edition that a plan may fill: each does what was signed,
// what is out of its bounds is brought inside, and a plan that says nothing has the
// usual value, as every plan signed before them.

// After a rest the interval is up to twice what it was, rounded up, and never shorter.
func TestRestFactorOfThePlan(t *testing.T) {
	for interval, needs := range map[int]map[chart.Answer]int{
		3: {chart.Unknown: 6, chart.Num(20): 6, chart.Num(16): 5, chart.Num(15): 5, chart.Num(13): 4, chart.Num(10): 3,
			chart.Num(5): 3, chart.Num(40): 6},
		11: {chart.Num(19): 21, chart.Num(11): 13, chart.Num(10): 11, chart.Num(5): 11}, // a tenth of a night is a night
	} {
		for tenths, need := range needs {
			v := atSetting(2, func(v *assessment) { v.lim.RestFactor = tenths })
			if got := v.slower(interval); got != need {
				t.Errorf("%d nights, factor %d: %d, want %d", interval, tenths.N(), got, need)
			}
		}
	}
	for worn, stays := range map[int]bool{4: true, 5: false} {
		if r := p15(*atSetting(2, func(v *assessment) {
			v.s.Arrived, v.worn, v.lim.Interval, v.doubled, v.lim.RestFactor = 1, worn, 3, true, chart.Num(15)
		})); (r.do == chart.Stay) != stays {
			t.Errorf("%d worn nights: %+v", worn, r)
		}
	}
}

// An easy morning of a rest is one of pain at most the plan's score.
func TestEasyPainOfThePlan(t *testing.T) {
	for easy, most := range map[chart.Answer]int{chart.Unknown: 2, chart.Num(0): 0, chart.Num(2): 2, chart.Num(4): 4, chart.Num(9): 4} {
		for pain := range 5 {
			k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.EasyPain = easy })
			k.forward(3)
			k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
			k.nights(2, fine())
			k.night(fine(told{chart.Pain: pain, chart.Gone: chart.GoneMorning}))
			if k.evening(); (k.c.State == chart.Stepping) != (pain <= most) {
				t.Errorf("easy %d, pain %d: %v", easy.N(), pain, k.c.State)
			}
		}
	}
}

// 3.0 mm on the newest reports may be at most the plan's share of the first.
func TestGainShareOfThePlan(t *testing.T) {
	for share, most := range map[chart.Answer]int{chart.Unknown: 32, chart.Num(70): 28, chart.Num(80): 32, chart.Num(90): 36,
		chart.Num(20): 28, chart.Num(100): 36} {
		for sum := 26; sum <= 38; sum++ {
			v := atSetting(8, func(v *assessment) { v.lim.GainShare = share })
			for n := range 4 {
				v.c.keepScore(0, chart.Num(chart.ReporterPartner), 10)
				v.c.keepScore(8, chart.Num(chart.ReporterPartner), (sum+n)/4)
			}
			if got := p17(*v).do == chart.Stay; got != (sum > most) {
				t.Errorf("share %d, %d of 40: stays %v", share.N(), sum, got)
			}
		}
	}
	// less than one per cent above each share
	for share, x := range map[chart.Answer][2]int{chart.Unknown: {17, 21}, chart.Num(80): {21, 26}, chart.Num(70): {12, 17},
		chart.Num(20): {12, 17}, chart.Num(90): {10, 11}, chart.Num(100): {10, 11}} {
		v := atSetting(8, func(v *assessment) { v.lim.GainShare = share })
		for n := range 4 {
			v.c.keepScore(0, chart.Num(chart.ReporterPartner), (x[1]+n)/4)
			v.c.keepScore(8, chart.Num(chart.ReporterPartner), (x[0]+n)/4)
		}
		if p17(*v).do != chart.Stay {
			t.Errorf("share %d, %d of %d: a step", share.N(), x[0], x[1])
		}
	}
}
