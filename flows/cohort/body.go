package cohort

import (
	"math"

	"duskdawn/flows/chart"
)

// body is the jaw, and the appliance in it.
type body struct {
	stands chart.Steps // where the appliance stands in truth
	ache   float64     // soreness, 0 and up; pain is read off it
	quit   bool        // no longer wears it, no longer answers
	sought chart.Steps // the setting the last sleep test was at, and one more
}

// told is what a morning has to tell.
type told struct {
	worn    int
	minutes int
	why     int // a reason; 0 for none
	snoring int
	pain    int
	gone    int
	guide   bool
	bite    int // minutes
	said    bool
	heard   bool // the partner was there
	odd     int  // what made it unusual; UsualNight for nothing
}

// mm is the advance at the setting the appliance stands at, in truth.
func (pl *Player) mm() float64 {
	return float64(pl.p.Baseline.Start)/1000 + float64(pl.stands)*float64(pl.p.Appliance.Step)/1000
}

// turn sets the appliance to a setting, or beside it.
func (pl *Player) turn(to chart.Steps) {
	if to != pl.stands && pl.r.Float64() < misturn {
		to += chart.Steps(1 - 2*pl.r.IntN(2))
	}
	to = chart.Steps(clampInt(int(to), 0, int(pl.p.Appliance.Travel)))
	if to > pl.stands && pl.who.snores(pl.mm()) <= float64(pl.p.Plan.Limits.Target) {
		pl.out.Needless++
	}
	pl.turned, pl.stands = max(int(to-pl.stands), 0), to
}

// sleep is the night itself: worn or not, what a partner hears, and how the jaw
// takes it.
func (pl *Player) sleep() {
	r, who := pl.r, &pl.who
	m := told{guide: true, bite: 5 + r.IntN(20), heard: who.hears(int(pl.night.Weekday()))}
	louder := 0.0
	if r.Float64() < oddNight {
		m.odd, louder = chart.UnusualDrink+r.IntN(4), oddLouder
	}
	sore := pl.ache >= 4
	a := &pl.p.Course.Advice
	wears := who.wears
	if sore {
		wears *= 0.6
	}
	switch {
	case pl.quit:
		m.worn, m.why = chart.WornNo, chart.ReasonDiscomf
	case a.Night == pl.night && a.Action == chart.LeaveOut:
		m.worn, m.why = chart.WornNo, chart.ReasonAdvised
	case r.Float64() >= wears:
		m.worn, m.why = chart.WornNo, chart.ReasonForgot
		if sore {
			m.why = chart.ReasonPain
		}
	default:
		m.worn = chart.WornAll
		if h := who.hours + 0.8*r.NormFloat64(); h < 5 || sore && r.IntN(4) == 0 {
			m.worn, m.minutes = chart.WornPart, clampInt(int(h*60), 60, 299)
			m.why = chart.ReasonMorning
		}
	}
	share := pl.mm() / who.most
	if m.worn != chart.WornNo {
		pl.out.Worn++
		m.snoring = clampInt(int(math.Round(who.snores(pl.mm())+louder+snoreNight*r.NormFloat64())), 0, 10)
		moved := float64(pl.turned) * float64(pl.p.Appliance.Step) / 1000
		pl.ache = pl.ache*heal + who.tender*(turnAche*moved+(1-heal)*loadAche*max(share-0.4, 0)/0.3)
	} else {
		m.snoring = clampInt(int(math.Round(who.snore+snoreNight*r.NormFloat64())), 0, 10)
		pl.ache *= heal * heal
	}
	m.pain = clampInt(int(math.Floor(pl.ache+painNight*r.NormFloat64())), 0, 10)
	m.pain = max(m.pain, who.base*r.IntN(2))
	m.gone = chart.GoneMorning
	switch {
	case m.pain >= 6:
		m.gone = chart.GoneAfternoon
	case m.pain >= 3:
		m.gone = chart.GoneMidday
	}
	m.guide = r.Float64() >= forgetGuide
	if r.Float64() < biteSlow*(1+pl.ache) {
		m.bite = 35 + r.IntN(35)
	}
	pl.morning, pl.turned = m, 0
	pl.out.Peak = max(pl.out.Peak, m.pain)
	if d := int(pl.night - pl.trial.fitted()); d >= 53 && d < 60 && m.pain > 0 {
		pl.out.Sore++
	}
	if !pl.quit && r.Float64() < quitNight*map[bool]float64{false: 1, true: quitSore}[sore] {
		pl.quit = true
	}
}
