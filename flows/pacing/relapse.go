package pacing

import (
	"duskdawn/flows/chart"
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
	snoring, sleepy := v.charts()
	if c.Rose == 0 && snoring.Risen() {
		c.Rose = v.night
	}
	if !sleepy.Risen() && !v.slipping() && !v.heardSince() && (snoring.Ready() || !v.returned()) {
		return out
	}
	c.SnoreOn, c.Rose = v.night, 0
	return append(out, notice(P03, practice.Clinician))
}

// charts are those of snoring and of sleepiness: what nights no longer remembered
// left, and the nights that are.
func (v *assessment) charts() (snoring, sleepy relapse.Chart) {
	c := v.c
	snoring, sleepy = c.Snore, c.Sleepy
	for i := range max(c.index(v.night), 0) {
		c.plot(&v.f, &c.Nights[i], &snoring, &sleepy)
	}
	return snoring, sleepy
}

// plot takes a night at the proved setting: up to the test, and until there are
// enough, into the reference; then against it.
func (c *Course) plot(f *Facts, e *chart.Entry, snoring, sleepy *relapse.Chart) {
	if c.TestOn == 0 || !e.Surely() || e.Low != c.TestAt {
		return
	}
	take := func(to *relapse.Chart, score int) {
		if e.Night <= c.TestOn || !to.Ready() {
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
	for i := range max(c.index(v.night), 0) {
		if e := &c.Nights[i]; e.Night >= c.Rose {
			if _, ok := v.report(e); ok {
				n++
			}
		}
	}
	return n >= PoolNights || v.night-c.Rose >= WeekNights
}

// slipping reports whether two of the last four weeks had fewer than five worn nights.
func (v *assessment) slipping() bool {
	var worn, known [relapse.Weeks]int
	for i := range max(v.c.index(v.night), 0) {
		e := &v.c.Nights[i]
		week := int(v.night-1-e.Night) / WeekNights
		is, told := e.Worn(v.f.least())
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
