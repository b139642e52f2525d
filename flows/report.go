package flows

// Outcome is one figure of a patient's record, by the definition of its id: a
// Figure. What cannot be given is refused, and says why.
type Outcome struct {
	ID   string
	No   Undefined // why it cannot be given
	Args []Arg     // its values, by name
}

// Say is the outcome as a sentence, the refusal of one where there is none.
func (o Outcome) Say() Line {
	if o.No != Defined {
		return Say("outcome.refused", ArgK("what", "outcome."+o.ID+".name"), ArgK("why", string(o.No)))
	}
	return Say("outcome."+o.ID, o.Args...)
}

// Tally reckons every outcome of a patient from the nights given, oldest first.
// Nights are as the patient told them, not measured.
func Tally(p *Patient, nights []Entry) []Outcome {
	before, after := p.Baseline.Test, proof(p)
	return append(append([]Outcome{tallyPayer(nights), tallyDental(nights, int(after.Asleep)), tallySeverity(before, after)},
		tallyResponse(before, after)...), tallyAlleviation(before, after, nights), tallySnoring(p, nights))
}

// proof is the newest test with the appliance in place that somebody read; an
// empty one where there is none.
func proof(p *Patient) SleepTest {
	for i := len(p.Tests) - 1; i >= 0; i-- {
		if x := &p.Tests[i]; x.InPlace && x.By != "" {
			return *x
		}
	}
	if n := len(p.Tests); n > 0 {
		return p.Tests[n-1] // refused, and why
	}
	return SleepTest{}
}

func tallyPayer(nights []Entry) Outcome {
	n := CountPayer(nights)
	o := Outcome{ID: "adherence-payer"}
	answered, ok := n.Share()
	calendar, _ := n.CalendarShare()
	if !ok {
		o.No = NotAnswered
		return o
	}
	o.Args = []Arg{ArgN("nights", n.Counted), ArgN("answered", n.Answered), ArgP("share", answered), ArgN("calendar", n.Calendar), ArgP("whole", calendar), yes("met", n.PayerRegular())}
	return o
}

func tallyDental(nights []Entry, sleep int) Outcome {
	w := CountDental(nights, sleep)
	o := Outcome{ID: "adherence-dental"}
	if w.Met+w.Missed == 0 {
		o.No = NoWeek
		return o
	}
	o.Args = []Arg{ArgN("met", w.Met), ArgN("told", w.Met+w.Missed), ArgN("unknown", w.Unknown)}
	return o
}

func tallySeverity(before, after SleepTest) Outcome {
	o := Outcome{ID: "severity"}
	a, b := SeverityOf(before.AHI10), SeverityOf(after.AHI10)
	switch {
	case a == SeverityUnknown || b == SeverityUnknown:
		o.No = NotMeasured
	case !after.InPlace:
		o.No = NotWornTest
	default:
		o.Args = []Arg{tenths("from", before.AHI10.N()), band("was", a), ArgS("rule", before.Rule), tenths("to", after.AHI10.N()), band("is", b), ArgS("by", after.Rule)}
	}
	return o
}

// tallyResponse names the change, and what it is called by each definition.
func tallyResponse(before, after SleepTest) []Outcome {
	r, no := ResponseOf(before, after)
	if no != Defined {
		return []Outcome{{ID: "response", No: no}}
	}
	out := []Outcome{{ID: "response", Args: []Arg{ArgP("change", r.Change), ArgS("rule", after.Rule), yes("met", r.Half)}}}
	for _, x := range [...]struct {
		id  string
		met bool
	}{{"success", r.Success}, {"resolved", r.Resolved}, {"strict", r.Strict}, {"partial", r.Partial}, {"unresolved", r.Unresolved}} {
		out = append(out, Outcome{ID: x.id, Args: []Arg{yes("met", x.met)}})
	}
	return out
}

// tallyAlleviation takes the mean of the nights whose wear is known. All night
// without a time counts as the whole sleep.
func tallyAlleviation(before, after SleepTest, nights []Entry) Outcome {
	o := Outcome{ID: "alleviation"}
	sleep := int(after.Asleep)
	n, sum := 0, 0
	for i := range nights {
		e := &nights[i]
		switch m := e.V[WornMinutes]; {
		case e.V[Worn].Is(WornNo):
		case m.Known():
			sum += min(m.N(), sleep)
		case e.V[Worn].Is(WornAll):
			sum += sleep
		default:
			continue
		}
		n++
	}
	if n == 0 {
		o.No = NotAnswered
		return o
	}
	worn := (2*sum + n) / (2 * n)
	value, no := Alleviation(before, after, worn, sleep)
	if no != Defined {
		o.No = no
		return o
	}
	o.Args = []Arg{ArgP("share", value), {Name: "worn", Kind: ArgMinutes, N: int64(worn)}, {Name: "asleep", Kind: ArgMinutes, N: int64(sleep)}, ArgN("nights", n)}
	return o
}

// tallySnoring compares the nights at the start with the newest week at the
// setting now, by the plan's reporter alone.
func tallySnoring(p *Patient, nights []Entry) Outcome {
	o := Outcome{ID: "snoring-change"}
	at, by := p.Course.Left, p.Baseline.Reporter
	if at <= 0 {
		o.No = NotMoved
		return o
	}
	var before, after []Snored
	others := [2]int{}
	for i := range nights {
		e := &nights[i]
		if e.Low != e.High || !e.V[Snoring].Known() {
			continue
		}
		s := Snored{Score: e.V[Snoring].N(), Reporter: e.V[Reporter].N()}
		switch own := e.V[Reporter] == by; {
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
	after = after[max(0, len(after)-weekNights):]
	change, no := SnoringChange(before, after)
	if no == TooFew && (len(before) >= poolNights || len(before)+others[0] >= poolNights) && (len(after) >= poolNights || len(after)+others[1] >= poolNights) {
		no = OtherReporter // there are enough, but not of one reporter
	}
	if no != Defined {
		o.No = no
		return o
	}
	reporter := ArgK("by", "label.reporter."+string(rune('0'+by.N())))
	o.Args = []Arg{ArgP("change", change), reporter, ArgN("before", len(before)), ArgN("after", len(after)), yes("met", change <= -leastFall)}
	return o
}

func yes(name string, met bool) Arg {
	if met {
		return ArgK(name, "why.yes")
	}
	return ArgK(name, "why.no")
}

func tenths(name string, n int) Arg { return Arg{Name: name, Kind: ArgTenths, N: int64(n)} }

func band(name string, s Severity) Arg {
	return ArgK(name, [...]string{SeverityUnknown: "", SeverityNormal: "severity.normal", SeverityMild: "severity.mild", SeverityModerate: "severity.moderate", SeveritySevere: "severity.severe"}[s])
}
