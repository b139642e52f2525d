package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
	"duskdawn/flows/relapse"
)

// After the position was proved the scores are watched by a chart, not by a
// threshold: at a mean just under the target a threshold alarms most years.

// tellAgain is how many nights a relapse is told once in.
const tellAgain = len(Course{}.Nights)

// relapsed is P03 beyond its advice from steady on: a chart of the snoring that has
// risen asks for four scores and then tells a clinician; one of sleepiness, and weeks
// of little wear, at once. Where too little is known for a chart the newest four
// reports speak by themselves.
func (v *assessment) relapsed(out []redflag.Raised) []redflag.Raised {
	c := v.c
	if c.SnoreOn != 0 && int(v.night-c.SnoreOn) < tellAgain {
		return out
	}
	snoring, sleepy := c.Charts(v.f, v.night)
	if c.Rose == 0 && snoring.Risen() {
		c.Rose = v.night
	}
	if !sleepy.Risen() && !c.Slipping(v.f, v.night) && !v.heardSince() && (snoring.Ready() || !v.returned()) {
		return out
	}
	c.SnoreOn, c.Rose = v.night, 0
	return append(out, notice(P03, practice.Clinician))
}

// Charts are those of snoring and of sleepiness before a night: what nights no longer
// remembered left, and the nights that are. What P03 goes by is what people are shown.
func (c *Course) Charts(f Facts, night civil.Date) (snoring, sleepy relapse.Chart) {
	f.Whole()
	if c.TestOn == 0 {
		return snoring, sleepy // no position is proved
	}
	snoring, sleepy = c.Snore, c.Sleepy
	for i := range c.earlier(night) {
		c.plot(&f, &c.Nights[i], &snoring, &sleepy)
	}
	return snoring, sleepy
}

// earlier counts the nights remembered before one.
func (c *Course) earlier(night civil.Date) (n int) {
	for n < int(c.N) && c.Nights[n].Night < night {
		n++
	}
	return n
}

// plot takes a night at the proved setting: up to the test, and until there are
// enough, into the reference; then against it. A result may come weeks after its test:
// until one is recorded, nights that are remembered no longer are kept as a reference
// for the setting of the newest of them.
func (c *Course) plot(f *Facts, e *chart.Entry, snoring, sleepy *relapse.Chart) {
	if !e.Surely() {
		return
	}
	if c.TestOn == 0 && e.Low != c.TestAt {
		*snoring, *sleepy, c.TestAt = relapse.Chart{}, relapse.Chart{}, e.Low
	}
	if e.Low != c.TestAt {
		return
	}
	take := func(to *relapse.Chart, score int) {
		if c.TestOn == 0 || e.Night <= c.TestOn || !to.Ready() {
			to.Refer(score)
		} else {
			to.Add(score)
		}
	}
	if n, ok := e.Usable(f.Baseline.Reporter, f.least()); ok {
		take(snoring, n)
	}
	if s := e.V[chart.Sleepiness]; s.Known() {
		take(sleepy, s.N())
	}
}

// heardSince reports whether the scores that a risen chart asks for are there, or did
// not come in a week.
func (v *assessment) heardSince() bool {
	c := v.c
	if c.Rose == 0 {
		return false
	}
	n := 0
	for i := range c.earlier(v.night) {
		if e := &c.Nights[i]; e.Night >= c.Rose {
			if _, ok := v.report(e); ok {
				n++
			}
		}
	}
	return n >= PoolNights || v.night-c.Rose >= WeekNights
}

// Slipping reports whether two of the four weeks before a night had fewer than five
// worn nights. A night left out by advice is in no week short of one.
func (c *Course) Slipping(f Facts, night civil.Date) bool {
	f.Whole()
	var worn, known [relapse.Weeks]int
	for i := range c.earlier(night) {
		e := &c.Nights[i]
		week := int(night-1-e.Night) / WeekNights
		is, told := e.Worn(f.least())
		if week >= relapse.Weeks || e.LeftOut() {
			continue
		}
		if is {
			worn[week]++
		}
		if told {
			known[week]++
		}
	}
	return relapse.Slipping(worn, known)
}
