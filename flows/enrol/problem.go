package enrol

import (
	"strings"
	"unicode"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// Check returns everything wrong with an enrolment: all hard bounds, and what
// no single blank can know. Soft problems are to be seen before it is signed.
func Check(e chart.Enrolment) []Problem {
	c := check{e: &e}
	c.fields()
	c.places()
	c.limits()
	c.plan()
	c.person()
	return c.out
}

// CheckOn is Check of what is signed on a day: what can only be behind is not ahead, nor
// so long behind that it is another year, and the plan runs on from that day.
func CheckOn(e chart.Enrolment, today civil.Date) []Problem {
	e.Plan.On = max(e.Plan.On, today)
	out := Check(e)
	if days := int(today - e.Plan.Fitted); e.Plan.Rev == 0 && e.Plan.Fitted != 0 && days > lateDays && days <= chart.LongestPlan {
		out = append(out, Problem{Field: "fitted", Key: "enrol.flag.late", Soft: true,
			Args: []message.Arg{message.ArgN("count", days), message.ArgD("said", e.Plan.Fitted)}})
	}
	for _, f := range FormFields() {
		if p := f.Ahead(&e, today); p != nil {
			out = append(out, *p)
		}
	}
	return append(out, Unnamed(&e.Baseline.Test)...)
}

// Unnamed is what is wrong with a sleep test whose kind or scoring rule names none: it
// was typed at another question.
func Unnamed(x *chart.SleepTest) (out []Problem) {
	if x.Kind != "" && strings.IndexFunc(x.Kind, unicode.IsLetter) < 0 {
		out = append(out, Problem{Field: "ahi-test", Key: "enrol.bad.kind", Args: []message.Arg{message.ArgS("said", x.Kind)}})
	}
	if _, err := civil.ParseDate(x.Rule); err == nil {
		out = append(out, Problem{Field: "ahi-rule", Key: "enrol.bad.kind", Args: []message.Arg{message.ArgS("said", x.Rule)}})
	}
	return out
}

// Ahead is what is wrong with a day that has not come: of fitting, since the form is
// filled in at the chair, and of a sleep test; and with a fitting day longer ago than the
// longest plan.
func (f FormField) Ahead(e *chart.Enrolment, today civil.Date) *Problem {
	if f.Key != "fitted" && f.Key != "ahi-date" || !f.Asked(e) {
		return nil
	}
	n, _ := f.Get(e)
	switch on := civil.Date(n); {
	case on > today:
		return f.bad("enrol.bad.ahead", message.ArgD("said", on), message.ArgD("today", today))
	case f.Key == "fitted" && on != 0 && today-on > chart.LongestPlan:
		return f.bad("enrol.bad.longago", message.ArgD("said", on), message.ArgD("today", today))
	}
	return nil
}

// Refused reports whether any of the problems is hard.
func Refused(ps []Problem) bool {
	for _, p := range ps {
		if !p.Soft {
			return true
		}
	}
	return false
}

type check struct {
	e   *chart.Enrolment
	out []Problem
}

func (c *check) hard(field, key string, args ...message.Arg) {
	c.out = append(c.out, Problem{Field: field, Key: key, Args: args})
}

func (c *check) soft(field, key string, args ...message.Arg) {
	c.out = append(c.out, Problem{Field: field, Key: key, Args: args, Soft: true})
}

// fields holds every single blank to its own bounds, whichever way it came.
func (c *check) fields() {
	for _, f := range FormFields() {
		if !f.Asked(c.e) {
			continue
		}
		n, known := f.Get(c.e)
		switch {
		case f.Kind == FormText || f.Kind == FormLang || f.Kind == FormZone || f.Kind == FormPhone:
			text := f.Text(c.e)
			if f.Need && (text == "" || f.Key == "label" && strings.IndexFunc(text, says) < 0) {
				c.hard(f.Key, "enrol.bad.missing")
			}
			if f.Max > 0 && reading.Runes(text) > int(f.Max) {
				c.out = append(c.out, *f.bad("enrol.bad.long"))
			}
		case f.Kind == FormChoice && f.Need && (!known || n < 1 || n > int64(len(f.Choices))),
			f.Kind == FormDate && f.Need && n == 0:
			c.hard(f.Key, "enrol.bad.missing")
		case f.Need && !known && f.Part == PartBaseline && c.e.Plan.Rev > 0 && f.Kind != FormChoice:
			// enrolled before it was needed: a change of the plan is not refused for it
		case f.Need && !known && (f.Kind == FormYes || f.Kind == FormWhole):
			c.hard(f.Key, "enrol.bad.missing")
		case known && f.Bounded() && (n < f.Min || n > f.Max):
			c.out = append(c.out, *f.outside(n))
		}
	}
}

// says reports whether a sign says something: a label has a letter or a digit that
// is shown.
func says(r rune) bool {
	return (unicode.IsLetter(r) || unicode.IsNumber(r)) && !unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r)
}

// places checks what concerns the jaw: the range, its zero, start and ceiling.
func (c *check) places() {
	a, b, l := &c.e.Appliance, &c.e.Baseline, &c.e.Plan.Limits
	if b.Zero == chart.ZeroUnset || b.Max <= 0 || b.Max > chart.WideRange || a.Step <= 0 {
		return // said by fields
	}
	whole := chart.PlaceOf(b, 1000)
	if whole <= 0 {
		c.hard("max-mm", "enrol.bad.behind")
		return
	}
	if whole < chart.NarrowRange {
		c.soft("max-mm", "enrol.flag.narrow", message.ArgUM("reach", whole), message.ArgUM("least", chart.NarrowRange))
	}
	if b.Zero == chart.ZeroRetruded && b.Retruded == 0 {
		c.soft("retruded-mm", "enrol.flag.retruded")
	}
	start := chart.ShareOf(b, b.Start)
	if p := startOutside(b); p != nil {
		c.out = append(c.out, *p)
		return
	}
	if start > MostRange {
		c.soft("start", "enrol.flag.start", message.ArgP("share", start))
	}
	if int64(a.Travel)*int64(a.Step) > int64(chart.WideRange) {
		c.hard("travel", "enrol.bad.toolong", message.ArgUM("said", chart.Micrometres(a.Travel)*a.Step),
			message.ArgUM("most", chart.WideRange))
	}
	top := b.Start + chart.Micrometres(l.Ceiling)*a.Step
	switch share := chart.ShareOf(b, top); {
	case top > whole:
		c.hard("ceiling", "enrol.bad.over", message.ArgN("steps", int(l.Ceiling)), message.ArgUM("place", top),
			message.ArgP("share", share), message.ArgUM("most", whole))
	case top > chart.PlaceOf(b, MostRange):
		c.soft("ceiling", "enrol.flag.ceiling", message.ArgN("steps", int(l.Ceiling)), message.ArgUM("place", top),
			message.ArgP("share", share))
	}
	if far := l.Ceiling + max(a.Offset, 0); far > a.Travel {
		c.hard("ceiling", "enrol.bad.beyond", message.ArgN("steps", int(far)), message.ArgN("most", int(a.Travel)))
	}
	if n := len(a.Labels); n > 0 && n <= int(l.Ceiling) {
		c.hard("setting-labels", "enrol.bad.labels", message.ArgN("given", n), message.ArgN("needed", int(l.Ceiling)+1))
	}
}

// limits checks what concerns the pace and the timetable.
func (c *check) limits() {
	a, l := &c.e.Appliance, &c.e.Plan.Limits
	if a.Step > 0 && l.Pace > 0 && a.Step > l.Pace {
		c.hard("pace-mm", "enrol.bad.slow", message.ArgUM("said", l.Pace), message.ArgUM("step", a.Step))
	}
	if i := int(l.Interval); i >= 2 && a.Step > 0 && a.Step <= chart.TopPace {
		week := chart.Micrometres((7+i-1)/i) * a.Step // the most steps that seven nights can hold
		if week > chart.TopPace {
			c.hard("interval", "enrol.bad.pace", message.ArgN("said", i), message.ArgUM("week", week),
				message.ArgUM("most", chart.TopPace), message.ArgN("least", fitting(a.Step)))
		} else if l.Pace > 0 && week > l.Pace {
			c.soft("pace-mm", "enrol.flag.pace", message.ArgUM("week", week), message.ArgUM("most", l.Pace))
		}
	}
	if l.Loud <= l.Target {
		c.hard("loud", "enrol.bad.loud", message.ArgN("said", int(l.Loud)), message.ArgN("target", int(l.Target)))
	}
	if c.e.Baseline.Reporter.Is(chart.ReporterNobody) && !l.Timetable {
		c.hard("timetable", "enrol.bad.nobody")
	}
	if l.Timetable && l.TimetableTop > 0 && l.TimetableTop <= l.Ceiling {
		top := c.e.Baseline.Start + chart.Micrometres(l.TimetableTop)*a.Step
		key := "enrol.flag.timetable"
		if c.e.Baseline.Reporter.Is(chart.ReporterNobody) {
			key = "enrol.flag.unheard"
		}
		c.soft("timetable", key, message.ArgN("steps", int(l.TimetableTop)), message.ArgUM("place", top),
			message.ArgP("share", chart.ShareOf(&c.e.Baseline, top)))
	}
	if l.Timetable && l.TimetableTop > l.Ceiling {
		c.hard("timetable-top", "enrol.bad.top", message.ArgN("said", int(l.TimetableTop)),
			message.ArgN("most", int(l.Ceiling)))
	}
}

// lateDays is how many days after fitting an enrolment is still of the day at the chair:
// a proposal.
const lateDays = 7

// fitting is the shortest interval at which a step keeps the top pace.
func fitting(step chart.Micrometres) int {
	for i := 2; i < 7; i++ {
		if chart.Micrometres((7+i-1)/i)*step <= chart.TopPace {
			return i
		}
	}
	return 7
}

// plan checks dates and hours.
func (c *check) plan() {
	p := &c.e.Plan
	if p.Fitted != 0 && p.Ends != 0 {
		signed := max(p.Fitted, p.On) // a plan renewed later runs from there
		least := max(p.Fitted+civil.Date(p.Limits.Settle)+1, p.On)
		nights := int(p.Ends - signed)
		switch {
		case p.Ends < least && p.On > p.Fitted+civil.Date(p.Limits.Settle)+1:
			c.hard("ends", "enrol.bad.past", message.ArgD("said", p.Ends), message.ArgD("least", least))
		case p.Ends < least:
			c.hard("ends", "enrol.bad.short", message.ArgD("said", p.Ends), message.ArgD("least", least))
		case nights > chart.LongestPlan:
			c.hard("ends", "enrol.bad.longplan", message.ArgD("said", p.Ends), message.ArgD("most", signed+chart.LongestPlan))
		case nights > chart.LongPlan:
			c.soft("ends", "enrol.flag.longplan", message.ArgN("nights", nights), message.ArgN("usual", chart.LongPlan))
		}
		if s := Summarise(*c.e); s.Night > 0 && p.Ends >= least && s.On > p.Ends {
			c.soft("ends", "enrol.flag.endsfirst", message.ArgD("reached", s.On), message.ArgD("said", p.Ends))
		}
	}
	boundary := p.Boundary
	if boundary == 0 {
		boundary = civil.Noon
	}
	after := func(k civil.Clock) civil.Clock { return (k - boundary + 1440) % 1440 }
	if after(p.Evening) >= after(p.Morning) {
		c.hard("morning", "enrol.bad.order", message.ArgC("evening", p.Evening), message.ArgC("morning", p.Morning),
			message.ArgC("ends", boundary))
	}
}

// person checks the findings of fitting day.
func (c *check) person() {
	e, b := c.e, &c.e.Baseline
	need := uint16(1<<chart.NumChecks - 1)
	if !e.Appliance.Guide {
		need &^= chart.CheckGuide
	}
	if missing := need &^ e.Checklist; missing != 0 {
		f := FormFields()[FormIndex(FormFields(), "checklist")]
		var keys string
		for i, choice := range f.Choices {
			if missing&(1<<i) != 0 {
				if keys != "" {
					keys += "|"
				}
				keys += f.ChoiceKey(choice)
			}
		}
		c.hard("checklist", "enrol.bad.checklist", message.Arg{Name: "missing", Kind: message.ArgList, S: keys})
	}
	if b.Test.AHI10.Known() && b.Test.Kind == "" { // the blank that is asked for, not the number
		c.hard("ahi-test", "enrol.bad.ahi")
	}
	if b.Test.AHI10.Known() && b.Test.Rule == "" {
		c.hard("ahi-rule", "enrol.bad.ahi")
	}
	if b.Pain.AtLeast(5) {
		c.soft("jaw-pain", "enrol.flag.pain", message.ArgN("pain", b.Pain.N()))
	}
	if b.Loose.Is(chart.Yes) {
		c.soft("loose-teeth", "enrol.flag.loose")
	}
	if b.Opening.Known() && b.Opening.N() < chart.NarrowOpening {
		c.soft("opening-mm", "enrol.flag.opening", message.ArgN("said", b.Opening.N()),
			message.ArgN("least", chart.NarrowOpening))
	}
}
