package estimate

import (
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/relapse"
)

// Lines is everything that can be said of a record, for a clinician to read:
// refusals and cautions included.
func (r *Record) Lines() []message.Line {
	out := append([]message.Line{message.Say("estimate.head")}, r.responseLines()...)
	out = append(out, r.dateLines()...)
	out = append(out, r.lostLines()...)
	out = append(out, r.soreLines()...)
	out = append(out, r.paceLines()...)
	out = append(out, r.readyLines()...)
	return append(out, r.relapseLines()...)
}

// Card is a line each of what bears on a patient's state, for a card; nothing
// while a flag of class E or S is open, which comes first.
func (r *Record) Card() []message.Line {
	if r.Urgent {
		return nil
	}
	var out []message.Line
	switch s := r.State; {
	case s >= chart.Settling && s <= chart.Resting:
		out = append(out, r.responseCard())
		if ceiling, _ := r.Dates(); ceiling.No == "" {
			out = append(out, message.Say("estimate.card.dates", message.ArgD("likely", ceiling.Likely),
				message.ArgD("earliest", ceiling.Earliest)))
		}
		if s := r.Soreness(); s.No == "" {
			out = append(out, message.Say("estimate.card.sore", s.args()...))
		}
		out = append(out, r.paceLines()...)
	case s == chart.Holding || s == chart.Testing:
		out = append(out, message.Say("estimate.card.ready", r.Readiness().args()...))
	case s == chart.Steady || s == chart.Recall:
		out = append(out, r.relapseLines()[:1]...)
	}
	if l := r.Lost(); l.Evenings > l.Steps && r.State <= chart.Resting {
		out = append(out, message.Say("estimate.card.lost", message.ArgN("evenings", l.Evenings), message.ArgS("causes", l.ids())))
	}
	return out
}

func (r *Record) responseLines() []message.Line {
	e := r.Respond()
	var out []message.Line
	if e.No != "" {
		out = append(out, refused("response", e.No))
	} else {
		out = append(out,
			message.Say("estimate.level", e.Now.args("level")...),
			message.Say("estimate.fall", append(e.Fall.args("fall"), message.ArgUM("mm", e.Ahead))...),
			message.Say("estimate.step", message.ArgUM("step", r.Appliance.Step), argTenths("fall", e.Step)),
			message.Say("estimate.reach", e.reachArgs()...),
			message.Say("estimate.none", message.ArgP("share", e.None)))
		if !e.Signed {
			out = append(out, message.Say("estimate.past"))
		}
		if e.Own > 0 {
			out = append(out, message.Say("estimate.own", message.ArgP("share", e.Own)))
		} else {
			out = append(out, message.Say("estimate.unsure"))
		}
	}
	if e.No == "" || e.No == NoOwn {
		out = append(out, message.Say("estimate.published"))
	}
	return append(out, message.Say("estimate.caution"))
}

func (r *Record) responseCard() message.Line {
	e := r.Respond()
	if e.No != "" {
		return refused("response", e.No)
	}
	args := append(e.Fall.args("fall"), message.ArgUM("mm", e.Ahead))
	return message.Say("estimate.card.response", append(args, e.reachArgs()...)...)
}

func (s Span) args(middle string) []message.Arg {
	return []message.Arg{argTenths(middle, s.Middle), argTenths("low", s.Low), argTenths("high", s.High)}
}

func (e *Response) reachArgs() []message.Arg {
	return []message.Arg{message.ArgN("target", e.Target), message.ArgUM("at", e.ReachAt), message.ArgP("share", e.Reach)}
}

func (r *Record) dateLines() []message.Line {
	ceiling, target := r.Dates()
	if ceiling.No != "" {
		return []message.Line{refused("dates", ceiling.No)}
	}
	out := []message.Line{message.Say("estimate.ceiling", ceiling.args()...)}
	if target.No != "" {
		out = append(out, refused("target", target.No))
	} else {
		out = append(out, message.Say("estimate.target", target.args()...))
	}
	if ends := r.Plan.Ends; ends != 0 && ends < ceiling.Likely {
		out = append(out, message.Say("estimate.ends", message.ArgD("ends", ends)))
	}
	return out
}

func (d Due) args() []message.Arg {
	return []message.Arg{message.ArgN("to", int(d.To)), message.ArgD("likely", d.Likely), message.ArgD("earliest", d.Earliest)}
}

func (r *Record) lostLines() []message.Line {
	l := r.Lost()
	return l.Lines()
}

// Lines says how many evenings were without a step, and by which rules.
func (l *Lost) Lines() []message.Line {
	out := []message.Line{message.Say("estimate.lost", message.ArgN("evenings", l.Evenings), message.ArgN("steps", l.Steps))}
	for _, c := range l.Causes() {
		out = append(out, message.Say("estimate.cause", message.ArgK("rule", "rule."+c.Rule.ID()+".name"),
			message.ArgN("n", c.Evenings)))
	}
	return out
}

// ids are the causes by the ids of their rules, as a card has room for them.
func (l *Lost) ids() string {
	var s []string
	for _, c := range l.Causes() {
		s = append(s, c.Rule.ID()+" "+strconv.Itoa(c.Evenings))
	}
	return strings.Join(s, ", ")
}

func (r *Record) soreLines() []message.Line {
	s := r.Soreness()
	if s.No != "" {
		return []message.Line{refused("sore", s.No)}
	}
	out := []message.Line{message.Say("estimate.sore", s.args()...)}
	if s.Courses == 0 {
		return append(out, message.Say("estimate.assumed"))
	}
	return append(out, message.Say("estimate.practice", message.ArgN("n", s.Courses)))
}

func (s Sore) args() []message.Arg {
	return []message.Arg{message.ArgN("hurt", s.Hurt), message.ArgN("moves", s.Moves), message.ArgP("next", s.Next),
		message.ArgP("low", s.Low), message.ArgP("high", s.High)}
}

// paceLines is silent until the practice has courses enough.
func (r *Record) paceLines() []message.Line {
	p := r.Pace()
	if p.No != "" {
		return nil
	}
	return []message.Line{message.Say("estimate.pace", message.ArgUM("mm", p.Night), message.ArgP("share", p.Percentile),
		message.ArgN("n", p.Courses))}
}

func (r *Record) readyLines() []message.Line {
	y := r.Readiness()
	if y.No != "" {
		return []message.Line{refused("ready", y.No)}
	}
	return []message.Line{message.Say("estimate.ready", y.args()...)}
}

func (y Ready) args() []message.Arg {
	met := message.ArgK("regular", "why.no")
	if y.Regular {
		met = message.ArgK("regular", "why.yes")
	}
	return []message.Arg{message.ArgN("n", y.Worn), message.ArgN("least", testNights), message.ArgN("nights", y.Payer.Counted),
		message.ArgN("calendar", testWindow), message.ArgN("answered", y.Payer.Answered), met, message.ArgN("met", y.Dental.Met),
		message.ArgN("told", y.Dental.Met+y.Dental.Missed), message.ArgN("days", y.Days), message.ArgN("of", testDay)}
}

func (r *Record) relapseLines() []message.Line {
	x := r.Relapse()
	if x.No == NoProof {
		return []message.Line{refused("relapse", x.No)}
	}
	out := []message.Line{refused("relapse", NoRefer)}
	if x.No == "" {
		out = chartLines("estimate.relapse", x.Snoring)
	}
	if x.SleepyNo == "" {
		out = append(out, chartLines("estimate.sleepy", x.Sleepy)...)
	}
	if x.Slipping {
		out = append(out, message.Say("estimate.slipping"))
	}
	return out
}

// chartLines show a chart, and what to do where it has risen.
func chartLines(key string, c relapse.Chart) []message.Line {
	out := []message.Line{message.Say(key, argTenths("sum", (int(c.Sum)+50)/100), message.ArgN("limit", relapse.Limit/relapse.Thousandth),
		argTenths("mean", (c.Mean()+50)/100), argTenths("sd", (c.SD()+50)/100), message.ArgN("n", int(c.Since)))}
	if c.Risen() {
		out = append(out, message.Say("estimate.risen"))
	}
	return out
}
