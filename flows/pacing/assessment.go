package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// The counts of nights in the table that no plan changes.
const (
	GapNights   = 7  // nights not known worn after which counts restart
	LapseNights = 14 // ... after which a clinician names the setting
	WeekNights  = 7
	weeklyEvery = 7  // days between weekly check-ins
	weeklySlack = 3  // days by which one may come early or late and still be the week before
	MostAside   = 2  // unusual nights in any seven that are left out of the reports
	WeeklyLate  = 10 // days overdue after which a needed weekly item holds a step
)

// assessment is one evening as the table sees it: what was known when the night's
// advice was first worked out, with the answers as they stand now. Rows are
// asked of a copy, so that an evening needs no memory of its own: what a row's
// function may keep a pointer to would have to be allocated.
type assessment struct {
	f     Facts
	c     *Course
	lim   *chart.Limits
	night civil.Date
	s     Position     // before tonight's advice
	last  *chart.Entry // last night; nil on the first evening
	state chart.State  // as it is once a finished rest or settling counts
	under chart.State  // the same on the path, also where a flag or a pause hides it
	top   chart.Steps  // ceiling and travel

	worn    int  // worn nights at this setting since the last arrival, or the last gap
	settled int  // settle nights
	rested  int  // easy mornings in a row at the end of this rest
	gap     int  // nights in a row, up to last night, not known worn
	gapped  bool // seven nights in a row were not known worn, and the counts began anew
	away    int  // of the last 7 mornings since the last go-back or visit: bite away over 60 minutes
	doubled bool // the interval is longer after a rest
	good    chart.Steps
	hasGood bool       // a comfortable night since the last visit
	late    civil.Date // an earlier night whose sore morning was only told after its advice; 0 for none
	unsure  uint16     // evenings on which P11 spoke, the newest in bit 0, as if it did tonight

	sore sore // what last night's morning, or one told late, asks of a jaw

	// What the table said.
	again bool         // of an evening that was advised before
	did   chart.Action // the advice
	fired chart.Rules  // every rule that spoke
	rule  chart.Rule   // the one that is shown
	shown *row         // its row
	doubt bool         // one of those that spoke does not know where the appliance stands
}

// assess gathers what the table needs in one pass over the nights remembered.
func (c *Course) assess(f Facts, night civil.Date) assessment {
	v := assessment{f: f, c: c, lim: &f.Plan.Limits, night: night, s: c.position(), top: f.top(), state: c.State,
		doubled: c.Doubled, unsure: c.Unsure<<1 | 1}
	if c.EveOn == night && c.Advice.Night == night {
		v.s = c.Eve
	}
	if i := c.index(night - 1); i >= 0 && night-1 >= c.Began {
		v.last = &c.Nights[i]
	}
	v.count()
	v.sore = v.soreness()
	v.under = c.OnPath()
	if v.under == chart.Resting && v.rested >= int(max(v.lim.RestMornings, 1)) {
		v.under = chart.Stepping
		if c.RestTo == chart.Settling {
			v.under = chart.Settling
		}
	}
	if v.under == chart.Settling && v.settle() {
		v.under = chart.Stepping
	}
	if v.onPath() {
		v.state = v.under
	}
	return v
}

// onPath reports whether the state is one of the path's, not one that hides it.
func (v *assessment) onPath() bool { return v.c.State >= chart.Settling && v.c.State <= chart.Recall }

// settle reports whether the settle nights are all worn.
func (v *assessment) settle() bool { return v.settled >= int(max(v.lim.Settle, 1)) }

func (v *assessment) count() {
	c, least, base := v.c, v.f.least(), v.f.Baseline
	after := c.OnPath() != chart.Resting
	unworn, whole, resting, looking := 0, true, c.RestFrom != 0, true
	gapping := true
	for i := c.index(v.night); i > 0; {
		i--
		e := &c.Nights[i]
		if worn, _ := e.Worn(least); e.LeftOut() { // counts for nothing, worn or not
		} else if worn {
			unworn, gapping = 0, false
			if whole {
				if e.Night >= v.s.Arrived && e.Surely() && e.Low == v.s.Left {
					v.worn++
				}
				if e.Night >= c.SettleFrom {
					v.settled++
				}
			}
			if e.Comfortable(least, base) {
				if looking {
					v.good, v.hasGood, looking = e.Low, e.Night >= c.Visited, false
				}
				if v.doubled && after && e.Night >= max(c.RestFrom, c.Rested) && e.Low >= c.DoubledTo {
					v.doubled = false
				}
			}
		} else {
			unworn++
			whole = whole && unworn < GapNights
			if gapping && e.Night >= c.Named {
				v.gap++
			}
		}
		if resting = resting && !v.setBack(i+1) && e.Night >= c.RestFrom && e.High < c.DoubledTo && e.Easy(least, v.f.Appliance, base, v.easy()); resting {
			v.rested++
		}
		if e.Night >= v.night-WeekNights {
			if m, _ := e.Bite(); (m > chart.AwayBite || e.Asked&chart.WasAway != 0) && e.Night >= c.Acted {
				v.away++
			}
			if e.Night < v.night-1 && e.Night >= c.Acted && e.Late&soreFields != 0 && e.Sore(base) {
				v.late = e.Night
			}
		}
	}
	if looking && c.GoodOn != 0 {
		v.good, v.hasGood = c.Good, c.GoodOn >= c.Visited
	}
	if v.gapped = !whole || unworn+int(c.FoldUnrun) >= GapNights; !v.gapped {
		v.worn += int(c.FoldWorn)
		v.settled += int(c.FoldSet)
	}
}

// setBack reports whether P06 speaks, or spoke, on the evening of an entry: the
// morning before it is none of a rest's easy ones.
func (v *assessment) setBack(i int) bool {
	e := &v.c.Nights[i]
	if e.Night == v.night {
		return v.s.High > min(v.s.Advised, v.top)
	}
	return e.Rule == P06
}

// soreFields are the answers that can make a morning sore.
const soreFields = 1<<chart.Pain | 1<<chart.Gone | 1<<chart.NotWorn | 1<<chart.BiteMinutes

// differ reports whether the two sides differ by other than the signed offset.
func (v *assessment) differ() bool {
	return v.f.Appliance.TwoSided && v.s.Right-v.s.Left != v.f.Appliance.Offset
}

// keep is the setting that a stay names: the last confirmed one, the lower one
// where sides differ; never one above the ceiling or the travel.
func (v *assessment) keep() chart.Steps {
	at := v.s.Left
	if v.differ() {
		at = min(v.s.Low, at)
	}
	return max(min(at, v.top), 0)
}

// underway reports whether steps are being worked towards at all.
func (v *assessment) underway() bool { return v.state >= chart.Settling && v.state <= chart.Resting }

// granted reports whether a review lifts what holds at a setting.
func (v *assessment) granted(to chart.Steps) bool {
	return v.c.GrantTo > 0 && to <= v.c.GrantTo && (v.c.GrantUntil == 0 || v.night <= v.c.GrantUntil)
}

// lifted reports whether a grant, or an order to a setting further on, takes the
// next step out of the hands of P13, P14 and P17.
func (v *assessment) lifted() bool { return v.granted(v.s.Left+1) || v.s.Left < v.c.OrderTo }

// timetabled reports whether the plan's timetable runs at this setting: nobody
// can hear, so snoring is not asked of the step.
func (v *assessment) timetabled() bool {
	return v.lim.Timetable && (v.s.Left <= v.lim.TimetableTop || v.granted(v.s.Left))
}

// moved is how far forward the appliance went in the nights D-6 to D, visits
// and unadvised moves included, on the nights they were confirmed for, and steps
// that may have been made where nobody said so. The reply to tonight's own advice is
// no part of it.
func (v *assessment) moved() chart.Micrometres {
	c := v.c
	i := c.index(v.night)
	if i < 0 {
		return 0
	}
	var at chart.Steps
	first := max(i-WeekNights+1, 0)
	if first > 0 {
		at = c.Nights[first-1].Low
		for n := first - 1; n >= 0; n-- { // of a night without a word, the word before: it may have been corrected since
			if e := &c.Nights[n]; e.V[chart.SettingLeft].Known() {
				at = min(at, e.Low)
				break
			}
		}
	}
	var sum int
	peak := at // the furthest it may have stood since the last word
	step := func(to chart.Steps) {
		sum += int(max(peak, to) - at)
		at, peak = to, to
	}
	for n := first; n < i; n++ {
		e := &c.Nights[n]
		if e.Action == chart.Forward {
			step(e.To - 1) // where it surely stood, whatever was said of the night since
		}
		if e.V[chart.SettingLeft].Known() {
			step(furthest(e, &v.f))
		} else if e.High <= at {
			step(e.High) // the word was taken back: no further on than this, whatever was made before
		} else {
			peak = max(peak, e.High) // a step may have been made, and set back since
		}
	}
	if v.s.SetOn == v.night {
		step(max(v.s.Left, v.s.Right-v.f.offset()))
	}
	return chart.Micrometres(sum) * v.f.Appliance.Step
}
