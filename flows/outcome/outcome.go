package outcome

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/pacing"
)

// Outcome arithmetic for the record, in whole tenths. What is undefined is
// refused in words, by the key of a text, and is never a number.

// Undefined is the key of the text that says why a figure cannot be given;
// empty where it can.
type Undefined string

// Why a figure cannot be given.
const (
	Defined       Undefined = ""
	FromZero      Undefined = "undefined.zero"     // the baseline is 0: there is no percentage of it
	NotMeasured   Undefined = "undefined.unknown"  // one of the two is not known
	OtherRule     Undefined = "undefined.rule"     // the two tests were scored under different rules, or a rule is not named
	OtherReporter Undefined = "undefined.reporter" // the reports are of different reporters
	TooFew        Undefined = "undefined.few"      // fewer than four nights
	NotWornTest   Undefined = "undefined.notworn"  // the appliance was not in place
	NoSleep       Undefined = "undefined.sleep"    // total sleep is not known
	NotAnswered   Undefined = "undefined.silent"   // no night's wear is known
	NoWeek        Undefined = "undefined.week"     // no week that can be judged
	NotMoved      Undefined = "undefined.start"    // it stands where it started
)

// Severity is a band of the apnoea-hypopnoea index of adults.
type Severity uint8

// The bands: normal under 5, mild 5 to under 15, moderate 15 to under 30,
// severe from 30 events an hour: doi 10.1186/s13063-019-3698-4.
const (
	SeverityUnknown Severity = iota
	SeverityNormal
	SeverityMild
	SeverityModerate
	SeveritySevere
)

// SeverityOf gives the band of an index in tenths of an event an hour.
func SeverityOf(ahi10 chart.Answer) Severity {
	switch n := ahi10.N(); {
	case !ahi10.Known() || n < 0:
		return SeverityUnknown
	case n < 50:
		return SeverityNormal
	case n < 150:
		return SeverityMild
	case n < 300:
		return SeverityModerate
	}
	return SeveritySevere
}

// Band is a band of orofacial pain.
type Band uint8

// The bands: mild 1-4, moderate 5-7, severe 8-10: doi 10.2147/JPR.S75192.
const (
	BandUnknown Band = iota
	BandNone
	BandMild
	BandModerate
	BandSevere
)

// BandOf gives the band of a pain score, 0 to 10.
func BandOf(pain chart.Answer) Band {
	switch n := pain.N(); {
	case !pain.Known() || n < 0 || n > 10:
		return BandUnknown
	case n == 0:
		return BandNone
	case n <= chart.MildPain:
		return BandMild
	case n <= chart.ModestPain:
		return BandModerate
	}
	return BandSevere
}

// Change gives a change in tenths of a per cent of the value before; a fall is
// negative. It is refused where the value before is 0.
func Change(before, after int) (tenths int, no Undefined) {
	if before <= 0 {
		return 0, FromZero
	}
	d := (after - before) * chart.TenthsPercent * 2
	if d < 0 {
		return -((-d + before) / (2 * before)), Defined
	}
	return (d + before) / (2 * before), Defined
}

// Response is what a treated index means, by definitions that are named beside
// it: it is never shown alone.
type Response struct {
	Change     int  // tenths of a per cent of the index before
	Half       bool // response: a fall of at least 50 %: doi 10.5664/jcsm.6492
	Success    bool // ... and under 10 an hour: doi 10.5664/jcsm.6492
	Resolved   bool // under 5 an hour: J Clin Sleep Med 2014;10:215-27
	Strict     bool // a fall of at least 75 %: doi 10.15331/jdsm.6918
	Partial    bool // a fall of at least 50 % and 5 or more an hour: commonly used, from memory
	Unresolved bool // neither: a fall under 50 % and 5 or more: commonly used, from memory
}

// ResponseOf compares a test with the appliance in place with the one before.
// Two scoring rules are never compared: they alone change the number
// (PMC4661335).
func ResponseOf(before, after chart.SleepTest) (Response, Undefined) {
	switch {
	case !before.AHI10.Known() || !after.AHI10.Known():
		return Response{}, NotMeasured
	case before.Rule == "" || before.Rule != after.Rule:
		return Response{}, OtherRule
	case !after.InPlace:
		return Response{}, NotWornTest
	}
	a, b := before.AHI10.N(), after.AHI10.N()
	change, no := Change(a, b)
	if no != Defined {
		return Response{}, no
	}
	r := Response{Change: change, Half: 2*b <= a, Resolved: b < 50, Strict: 4*b <= a}
	r.Success = r.Half && b < 100
	r.Partial = r.Half && !r.Resolved
	r.Unresolved = !r.Half && !r.Resolved
	return r, Defined
}

// Alleviation is the mean disease alleviation in tenths of a per cent: efficacy
// times use, where use is the mean time worn of the sleep, at most all of it
// (formula from memory: Thorax 2013;68:91-6). A rise of the index gives a
// negative figure, never silently 0.
func Alleviation(before, after chart.SleepTest, worn, sleep int) (tenths int, no Undefined) {
	if _, no := ResponseOf(before, after); no != Defined {
		return 0, no
	}
	if sleep <= 0 || worn < 0 {
		return 0, NoSleep
	}
	worn = min(worn, sleep)
	part := (before.AHI10.N() - after.AHI10.N()) * worn * chart.TenthsPercent * 2
	whole := before.AHI10.N() * sleep
	if part < 0 {
		return -((-part + whole) / (2 * whole)), Defined
	}
	return (part + whole) / (2 * whole), Defined
}

// Snored is one report.
type Snored struct {
	Score    int
	Reporter int
}

// SnoringChange compares two sets of reports of one reporter, four nights or
// more each, in tenths of a per cent: doi 10.1111/j.1749-4486.2010.02127.x.
// -25 % is a meaningful fall: PMC8726364 table 3.
func SnoringChange(before, after []Snored) (tenths int, no Undefined) {
	if len(before) < pacing.PoolNights || len(after) < pacing.PoolNights {
		return 0, TooFew
	}
	sums := [2]int{}
	for i, set := range [2][]Snored{before, after} {
		for _, s := range set {
			if s.Reporter != before[0].Reporter {
				return 0, OtherReporter
			}
			sums[i] += s.Score
		}
	}
	// Means of sets of different size, brought to one denominator.
	return Change(sums[0]*len(after), sums[1]*len(before))
}

// Events gives an index in tenths an hour: events over minutes, the denominator
// (recorded or slept) named by who asks.
func Events(events, minutes int) (tenths int, no Undefined) {
	if minutes <= 0 || events < 0 {
		return 0, NoSleep
	}
	return (events*60*10*2 + minutes) / (2 * minutes), Defined
}

// PainFall is the smallest fall of pain that matters, in tenths of a per cent:
// doi 10.11607/jofph.24.3.05.
const PainFall = 379

// MeansLess reports whether a fall of pain matters; undefined from 0.
func MeansLess(before, after int) (bool, Undefined) {
	if before <= 0 {
		return false, FromZero
	}
	return (before-after)*chart.TenthsPercent >= PainFall*before, Defined
}
