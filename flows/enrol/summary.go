package enrol

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
)

// Summary is what an enrolment comes to, for the clinician to see before
// signing.
type Summary struct {
	Start        chart.Micrometres // from the habitual bite
	StartShare   int               // tenths of a per cent of the range, zero as the enrolment states
	Ceiling      chart.Micrometres
	CeilingShare int
	Steps        chart.Steps // from start to ceiling
	Night        int         // the earliest night the ceiling can be worn, fitting night being 1; 0 where it cannot be worked out
	On           civil.Date  // that night's date
}

// Summarise works out start and ceiling in steps, mm and %, and the earliest
// night the ceiling could be reached when every night is worn and easy: the
// first step is worn on night settle+1, each next one after the interval, or
// later where the pace holds it back. Nights count from fitting, or from the day of
// the first signature where that is later: none before it counts.
func Summarise(e chart.Enrolment) Summary {
	b, l, step := &e.Baseline, &e.Plan.Limits, e.Appliance.Step
	s := Summary{Start: b.Start, StartShare: chart.ShareOf(b, b.Start), Steps: l.Ceiling}
	s.Ceiling = b.Start + chart.Micrometres(l.Ceiling)*step
	s.CeilingShare = chart.ShareOf(b, s.Ceiling)
	if l.Settle < 1 || l.Interval < 1 || l.Ceiling < 1 || l.Ceiling > 1000 || step <= 0 || l.Pace < step {
		return s
	}
	settle, interval := l.Settle, l.Interval
	if !l.Timetable { // so many reports are needed first, of here or of near by
		settle = max(settle, chart.FewReports)
		if step > chart.NearReports {
			interval = max(interval, chart.FewReports)
		}
	}
	s.Night = earliest(int(settle), int(interval), int(l.Ceiling), int(l.Pace/step))
	from := e.Plan.Fitted
	if e.Plan.Rev == 0 {
		from = max(from, e.Plan.On)
	}
	s.On = from + civil.Date(s.Night) - 1
	return s
}

// earliest is the night of the last of n steps, at most perWeek of which fall
// into any 7 nights.
func earliest(settle, interval, n, perWeek int) int {
	nights := make([]int, n)
	for k := range nights {
		night := settle + 1
		if k > 0 {
			night = nights[k-1] + interval
		}
		if k >= perWeek {
			night = max(night, nights[k-perWeek]+7)
		}
		nights[k] = night
	}
	return nights[n-1]
}

func zeroArg(b *chart.Baseline) message.Arg {
	return message.ArgK("zero", "enrol.zero."+[...]string{"unset", "habitual", "retruded"}[min(b.Zero, 2)])
}

// Say writes the summary as paragraphs.
func (s Summary) Say(e *chart.Enrolment) []message.Line {
	zero := zeroArg(&e.Baseline)
	step := message.ArgUM("step", e.Appliance.Step)
	lines := []message.Line{
		message.Say("enrol.sum.start", message.ArgUM("place", s.Start), message.ArgP("share", s.StartShare), zero),
		message.Say("enrol.sum.ceiling", message.ArgN("count", int(s.Steps)), message.ArgS("word", e.Appliance.StepWord),
			step, message.ArgUM("place", s.Ceiling), message.ArgP("share", s.CeilingShare)),
	}
	if s.Night > 0 {
		lines = append(lines, message.Say("enrol.sum.earliest", message.ArgN("count", s.Night), message.ArgD("on", s.On)))
	}
	return lines
}
