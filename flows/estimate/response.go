package estimate

import (
	"math"
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Why a response estimate is refused.
const (
	NoReporter Withheld = "estimate.no.reporter" // self, or nobody can hear
	NoChanged  Withheld = "estimate.no.changed"  // somebody else has begun to report
	NoRange    Withheld = "estimate.no.range"    // the protrusive range or the step is not known
	NoFirst    Withheld = "estimate.no.first"    // fewer than four reports near the start
	NoNewest   Withheld = "estimate.no.newest"   // fewer than four reports of the newest seven nights
	NoSpread   Withheld = "estimate.no.spread"   // less than 1.0 mm between the two
	NoCount    Withheld = "estimate.no.count"    // the count is in doubt
	NoFlag     Withheld = "estimate.no.flag"     // an E or S flag is open
	NoGap      Withheld = "estimate.no.gap"      // fourteen nights without a report
	NoLong     Withheld = "estimate.no.long"     // 90 days since the first report
	NoCap      Withheld = "estimate.no.cap"      // at or past where nothing more is gained
	NoNeed     Withheld = "estimate.no.need"     // at the target already
	NoFit      Withheld = "estimate.no.fit"      // the newest scores do not fit what went before
	NoOwn      Withheld = "estimate.no.own"      // the nights add nothing to what is published
)

// The grounds that an estimate needs. The counts are those of the rules (four
// nights before a score is read); the others are proposals without a source.
const (
	leastReports = 4
	firstMM      = 0.5 // from fitting day
	newestNights = 7
	leastSpread  = 1.0 // mm
	gapNights    = 14
	longNights   = 90
	oddBelow     = .05
	ownLeast     = .10
	aheadMM      = 1.0
	worstScore   = 10
)

// Response is what more advancement is likely to buy: of snoring, not of apnoea.
// Points are of the reporter's score of 0 to 10; chances and shares are in
// tenths of a per cent, rounded to whole ones.
type Response struct {
	No      Withheld
	Now     Span              // the mean of a night at this setting
	Fall    Span              // how much it falls over Ahead
	Ahead   chart.Micrometres // 1.0 mm, or what is left to the cap
	Step    int               // the mean fall of one step, tenths of a point: never the headline
	Reach   int               // the chance that the mean comes to the target ...
	ReachAt chart.Micrometres // ... at this advance from fitting day: the signed ceiling, or the cap before it
	Target  int               // points
	None    int               // the chance that advancement does nothing
	Own     int               // the share of what is known of Fall that comes from the patient's own nights; 0 where they made it less certain
	Signed  bool              // Ahead stays within the signed ceiling
}

// row is one report.
type row struct {
	night civil.Date // 0 where it is not known
	at    chart.Steps
	score int
}

// rows are the reports that count, oldest first, and how many came from
// somebody else who hears.
func (r *Record) rows() (rows []row, others int) {
	for _, s := range r.Older {
		rows = append(rows, row{at: s.At, score: s.Score})
	}
	for i := range r.Nights {
		e := &r.Nights[i]
		if n, ok := r.usable(e); ok {
			rows = append(rows, row{e.Night, e.Low, n})
		}
		if by := e.V[chart.Reporter]; e.V[chart.Snoring].Known() && by.Known() && by != r.Baseline.Reporter &&
			!by.Is(chart.ReporterNobody) {
			others++
		}
	}
	return rows, others
}

// pools gathers rows by setting, in the order they come.
func (r *Record) pools(rows []row) []pool {
	var out []pool
	place := map[chart.Steps]int{}
	for _, x := range rows {
		i, ok := place[x.at]
		if !ok {
			i = len(out)
			place[x.at] = i
			out = append(out, pool{x: r.mm(x.at)})
		}
		out[i].add(float64(x.score))
	}
	return out
}

// Cap is the advance from fitting day past which nothing is gained, in
// micrometres: 70 % of the greatest protrusion less the start, both from the
// habitual bite; 0 where the start is there already.
func Cap(b *chart.Baseline) chart.Micrometres {
	most := int64(chart.PlaceOf(b, chart.TenthsPercent))
	return chart.Micrometres(max(0, most*plateauShare/chart.TenthsPercent-int64(b.Start)))
}

// likely weighs every curve by the nights, unless there is no ground; cap is in
// mm.
func (r *Record) likely() (c *cloud, cap float64, rows []row, no Withheld) {
	rows, others := r.rows()
	if no := r.ground(rows, others); no != "" {
		return nil, 0, nil, no
	}
	cap = float64(Cap(r.Baseline)) / 1000
	pools := r.pools(rows)
	c, _ = posterior(cap, pools)
	if odd(cap, pools, r.pools(newestOf(rows, r.Tonight-newestNights))) < oddBelow {
		return nil, 0, nil, NoFit
	}
	return c, cap, rows, ""
}

// Respond estimates the response. It says why not where there is no ground.
func (r *Record) Respond() Response {
	c, cap, rows, no := r.likely()
	if no != "" {
		return Response{No: no}
	}
	here := r.mm(r.At)
	there := min(here+aheadMM, cap)
	fall := func(k *curve) float64 { return k.left(here, cap) - k.left(there, cap) }
	if c.apart(unasked, fall) < ownLeast {
		return Response{No: NoOwn}
	}
	_, sd := c.moments(fall)
	_, was := unasked.moments(fall)
	step, _ := c.moments(func(k *curve) float64 { return k.left(here, cap) - k.left(here+r.mm(1), cap) })
	goal := min(r.mm(r.top()), cap)
	return Response{
		Now:   c.span(func(k *curve) float64 { return k.left(here, cap) }),
		Fall:  c.span(fall),
		Ahead: chart.Micrometres(whole(1000 * (there - here))), Step: tenths(step),
		Reach: percent(r.reach(cap, rows, goal)), ReachAt: chart.Micrometres(whole(1000 * goal)),
		Target: int(r.Plan.Limits.Target),
		None:   percent(c.none()), Own: max(percent(1-sd/was), 0), Signed: there <= r.mm(r.top()),
	}
}

// reach is the chance that the mean comes to the target at goal mm. A worse
// newest score may raise the bare chance: it speaks against a slow fall, and
// leaves a sudden one that has yet to come. Nobody would believe that of one
// night, so the newest scores that disagree in that way are taken together: what
// stands is the chance given that the newest was one of them (pool adjacent
// violators, each weighed by how likely it was).
func (r *Record) reach(cap float64, rows []row, goal float64) float64 {
	type block struct{ last, weight, hits float64 }
	other := slices.Clone(rows)
	newest := &other[len(other)-1].score
	told, blocks := *newest, []block(nil)
	first := math.NaN()
	for *newest = 0; *newest <= worstScore; *newest++ {
		c, evidence := posterior(cap, r.pools(other))
		if *newest == 0 {
			first = evidence
		}
		b := block{float64(*newest), math.Exp(evidence - first), 0}
		b.hits = b.weight * c.reaches(goal, cap, float64(r.Plan.Limits.Target))
		for n := len(blocks); n > 0 && blocks[n-1].hits*b.weight <= b.hits*blocks[n-1].weight; n-- {
			b.weight, b.hits = b.weight+blocks[n-1].weight, b.hits+blocks[n-1].hits
			blocks = blocks[:n-1]
		}
		blocks = append(blocks, b)
	}
	for _, b := range blocks {
		if float64(told) <= b.last {
			return b.hits / b.weight
		}
	}
	return 0
}

// newestOf are the rows of a night on.
func newestOf(rows []row, from civil.Date) []row {
	for i := range rows {
		if rows[i].night >= from && rows[i].night != 0 {
			return rows[i:]
		}
	}
	return nil
}

// ground reports why there is no ground for an estimate, the first reason found.
func (r *Record) ground(rows []row, others int) Withheld {
	by := r.Baseline.Reporter
	newest := newestOf(rows, r.Tonight-newestNights)
	first := 0
	low := r.At
	for _, x := range rows {
		if r.mm(x.at) <= firstMM {
			first++
			low = min(low, x.at)
		}
	}
	switch {
	case !by.Is(chart.ReporterPartner) && !by.Is(chart.ReporterRecorder):
		return NoReporter
	case others >= leastReports:
		return NoChanged
	case r.Baseline.Max <= 0 || r.Appliance.Step <= 0:
		return NoRange
	case r.Urgent:
		return NoFlag
	case r.InDoubt:
		return NoCount
	case Cap(r.Baseline) <= chart.Micrometres(r.At)*r.Appliance.Step:
		return NoCap
	case first < leastReports:
		return NoFirst
	case len(newest) < leastReports:
		return NoNewest
	case r.gap(rows):
		return NoGap
	case r.Tonight-r.firstReport(rows) >= longNights:
		return NoLong
	case r.mm(r.At)-r.mm(low) < leastSpread:
		return NoSpread
	case r.settled(rows):
		return NoNeed
	}
	return ""
}

// firstReport is its night; where it is not known, the first of all.
func (r *Record) firstReport(rows []row) civil.Date {
	if len(rows) > 0 && rows[0].night != 0 {
		return rows[0].night
	}
	return r.Began
}

// gap reports whether fourteen nights in a row, or more, went without a report.
func (r *Record) gap(rows []row) bool {
	last := civil.Date(0)
	for _, x := range rows {
		if last != 0 && x.night-last > gapNights {
			return true
		}
		last = x.night
	}
	return last != 0 && r.Tonight-last > gapNights
}

// settled reports whether the newest four reports are at the target already.
func (r *Record) settled(rows []row) bool {
	sum := 0
	for _, x := range rows[len(rows)-leastReports:] {
		sum += x.score
	}
	return sum <= leastReports*int(r.Plan.Limits.Target)
}
