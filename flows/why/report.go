package why

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/outcome"
	"duskdawn/flows/pacing"
)

// Outcome is one figure of a patient's record, by the definition of its id: a
// Figure. What cannot be given is refused, and says why.
type Outcome struct {
	ID   string
	No   outcome.Undefined // why it cannot be given
	Args []message.Arg     // its values, by name
}

// Say is the outcome as a sentence, the refusal of one where there is none.
func (o Outcome) Say() message.Line {
	if o.No != outcome.Defined {
		return message.Say("outcome.refused", message.ArgK("what", "outcome."+o.ID+".name"),
			message.ArgK("why", string(o.No)))
	}
	return message.Say("outcome."+o.ID, o.Args...)
}

// Report reckons every outcome of a patient from the nights given, oldest first.
// Nights are as the patient told them, not measured.
func Report(p *flows.Patient, nights []chart.Entry) []Outcome {
	before, after := p.Baseline.Test, proof(p)
	return append(append([]Outcome{payerNights(nights), dentalWeeks(nights, int(after.Asleep)),
		severity(before, after)},
		response(before, after)...), alleviation(before, after, nights), snoring(p, nights))
}

// proof is the newest test with the appliance in place that somebody read; an
// empty one where there is none.
func proof(p *flows.Patient) chart.SleepTest {
	for i := len(p.Tests) - 1; i >= 0; i-- {
		if x := &p.Tests[i]; x.InPlace && x.By != "" {
			return *x
		}
	}
	if n := len(p.Tests); n > 0 {
		return p.Tests[n-1] // refused, and why
	}
	return chart.SleepTest{}
}

func payerNights(nights []chart.Entry) Outcome {
	n := chart.CountPayer(nights)
	o := Outcome{ID: "adherence-payer"}
	answered, ok := n.Share()
	calendar, _ := n.CalendarShare()
	reported, _ := n.Reported()
	if !ok {
		o.No = outcome.NotAnswered
		return o
	}
	o.Args = []message.Arg{message.ArgN("nights", n.Counted), message.ArgN("answered", n.Answered),
		message.ArgP("share", answered), message.ArgN("calendar", n.Calendar), message.ArgP("whole", calendar),
		message.ArgP("reported", reported), yes("met", n.PayerRegular())}
	return o
}

func dentalWeeks(nights []chart.Entry, sleep int) Outcome {
	w := chart.CountDental(nights, sleep)
	o := Outcome{ID: "adherence-dental"}
	if w.Met+w.Missed == 0 {
		o.No = outcome.NoWeek
		return o
	}
	o.Args = []message.Arg{message.ArgN("met", w.Met), message.ArgN("told", w.Met+w.Missed),
		message.ArgN("unknown", w.Unknown)}
	return o
}

func severity(before, after chart.SleepTest) Outcome {
	o := Outcome{ID: "severity"}
	a, b := outcome.SeverityOf(before.AHI10), outcome.SeverityOf(after.AHI10)
	switch {
	case a == outcome.SeverityUnknown || b == outcome.SeverityUnknown:
		o.No = outcome.NotMeasured
	case !after.InPlace:
		o.No = outcome.NotWornTest
	default:
		o.Args = []message.Arg{tenths("from", before.AHI10.N()), band("was", a), message.ArgS("rule", before.Rule),
			tenths("to", after.AHI10.N()), band("is", b), message.ArgS("by", after.Rule)}
	}
	return o
}

// response names the change, and what it is called by each definition.
func response(before, after chart.SleepTest) []Outcome {
	r, no := outcome.ResponseOf(before, after)
	if no != outcome.Defined {
		return []Outcome{{ID: "response", No: no}}
	}
	out := []Outcome{{ID: "response", Args: []message.Arg{message.ArgP("change", r.Change),
		message.ArgS("rule", after.Rule), yes("met", r.Half)}}}
	for _, x := range [...]struct {
		id  string
		met bool
	}{{"success", r.Success}, {"resolved", r.Resolved}, {"strict", r.Strict}, {"partial", r.Partial},
		{"unresolved", r.Unresolved}} {
		out = append(out, Outcome{ID: x.id, Args: []message.Arg{yes("met", x.met)}})
	}
	return out
}

// alleviation takes the mean of the nights whose wear is known. All night
// without a time counts as the whole sleep.
func alleviation(before, after chart.SleepTest, nights []chart.Entry) Outcome {
	o := Outcome{ID: "alleviation"}
	sleep := int(after.Asleep)
	n, sum := 0, 0
	for i := range nights {
		e := &nights[i]
		switch m := e.V[chart.WornMinutes]; {
		case e.V[chart.Worn].Is(chart.WornNo):
		case m.Known():
			sum += min(m.N(), sleep)
		case e.V[chart.Worn].Is(chart.WornAll):
			sum += sleep
		default:
			continue
		}
		n++
	}
	if n == 0 {
		o.No = outcome.NotAnswered
		return o
	}
	worn := (2*sum + n) / (2 * n)
	value, no := outcome.Alleviation(before, after, worn, sleep)
	if no != outcome.Defined {
		o.No = no
		return o
	}
	o.Args = []message.Arg{message.ArgP("share", value), {Name: "worn", Kind: message.ArgMinutes, N: int64(worn)},
		{Name: "asleep", Kind: message.ArgMinutes, N: int64(sleep)}, message.ArgN("nights", n)}
	return o
}

// snoring compares the nights at the start with the newest week at the
// setting now, by the plan's reporter alone.
func snoring(p *flows.Patient, nights []chart.Entry) Outcome {
	o := Outcome{ID: "snoring-change"}
	at, by := p.Course.Left, p.Baseline.Reporter
	if at <= 0 {
		o.No = outcome.NotMoved
		return o
	}
	var before, after []outcome.Snored
	others := [2]int{}
	for i := range nights {
		e := &nights[i]
		if e.Low != e.High || !e.V[chart.Snoring].Known() {
			continue
		}
		s := outcome.Snored{Score: e.V[chart.Snoring].N(), Reporter: e.V[chart.Reporter].N()}
		switch own := e.V[chart.Reporter] == by; {
		case e.Low == 0 && own:
			before = append(before, s)
		case e.Low == at && own:
			after = append(after, s)
		case e.Low == 0:
			others[0]++
		case e.Low == at:
			others[1]++
		}
	}
	after = after[max(0, len(after)-pacing.WeekNights):]
	change, no := outcome.SnoringChange(before, after)
	if no == outcome.TooFew && (len(before) >= pacing.PoolNights || len(before)+others[0] >= pacing.PoolNights) &&
		(len(after) >= pacing.PoolNights || len(after)+others[1] >= pacing.PoolNights) {
		no = outcome.OtherReporter // there are enough, but not of one reporter
	}
	if no != outcome.Defined {
		o.No = no
		return o
	}
	reporter := message.ArgK("by", "label.reporter."+string(rune('0'+by.N())))
	o.Args = []message.Arg{message.ArgP("change", change), reporter, message.ArgN("before", len(before)),
		message.ArgN("after", len(after)), yes("met", change <= -pacing.LeastFall)}
	return o
}

func yes(name string, met bool) message.Arg {
	if met {
		return message.ArgK(name, "why.yes")
	}
	return message.ArgK(name, "why.no")
}

func tenths(name string, n int) message.Arg {
	return message.Arg{Name: name, Kind: message.ArgTenths, N: int64(n)}
}

func band(name string, s outcome.Severity) message.Arg {
	return message.ArgK(name, [...]string{outcome.SeverityUnknown: "", outcome.SeverityNormal: "severity.normal",
		outcome.SeverityMild: "severity.mild", outcome.SeverityModerate: "severity.moderate", outcome.SeveritySevere: "severity.severe"}[s])
}
