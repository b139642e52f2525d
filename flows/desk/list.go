package desk

import (
	"cmp"
	"slices"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Limits of the lists, in days unless said otherwise: proposals.
const (
	silentFrom = 2  // nights without an answer
	restLong   = 10 // nights, as P09 tells the clinician
	testWait   = 7  // nights of holding, or after a test was to come
	dueSoon    = 7  // before a review or recall
)

// glance is what a list looks at: a patient, who reads, and the day.
type glance struct {
	p      *flows.Patient
	pr     *practice.Practice
	reader practice.Staff
	today  civil.Date
}

// listing is one list of patients by a word, a section of the morning's digest.
type listing struct {
	word   string
	line   func(*glance) (message.Line, bool) // the patient's line, where the list has one
	closes bool                               // what is routine in it can be closed by the list
	asked  bool                               // it is shown by its word alone, and is no part of the digest
	parts  func(*flows.Patient) int           // the part of the list that a patient is in, by the least number of it; nil: it has no parts
}

// listings are all of them, in the order of the digest.
var listings = [...]listing{
	{word: "overdue", line: overdueLine},
	{word: "callback", line: callLine},
	{word: "mine", line: mineLine},
	{word: wordsList, line: unreadLine, closes: true},
	{word: "changed", line: changedLine},
	{word: "silent", line: silentLine, closes: true, parts: silentPart},
	{word: "target", line: targetLine},
	{word: "ceiling", line: ceilingLine},
	{word: "nogain", line: openLine(pacing.P17.ID())},
	{word: "resting", line: restingLine},
	{word: "release", line: releaseLine},
	{word: "tests", line: testsLine},
	{word: "review", line: reviewLine, closes: true},
	{word: "recall", line: recallLine, closes: true},
	{word: "calls", line: openLine(flows.WhyMile), closes: true},
	{word: "routine", line: routineLine, closes: true},

	{word: handWord, line: mineLine, asked: true},
	{word: heldWord, line: heldLine, asked: true},
	{word: "urgent", line: classLine, asked: true},
	{word: "flagged", line: flaggedLine, asked: true},
	{word: "waiting", line: inState(chart.Invited, chart.Consented), asked: true},
	{word: "settling", line: inState(chart.Settling), asked: true},
	{word: "stepping", line: inState(chart.Stepping), asked: true},
	{word: "testing", line: inState(chart.Testing), asked: true},
	{word: "steady", line: inState(chart.Steady, chart.Recall), asked: true},
	{word: "paused", line: inState(chart.Paused, chart.Stopped), asked: true},
	{word: "ended", line: inState(chart.Ended), asked: true},
}

// inState makes the list of whoever is in one of some states.
func inState(states ...chart.State) func(*glance) (message.Line, bool) {
	return func(g *glance) (message.Line, bool) {
		if !slices.Contains(states, g.p.Course.State) {
			return g.not()
		}
		return g.say("desk.l.setting", message.ArgN("n", int(g.p.Course.Left)))
	}
}

// heldWord is the word of the list of whose steps are held one by one: they stay so when
// everything is resumed.
const heldWord = "held"

func heldLine(g *glance) (message.Line, bool) {
	by := &g.p.HeldBy
	if !g.p.Held || g.p.Course.State == chart.Ended {
		return g.not()
	}
	day := message.ArgD("day", by.At.Date)
	who, known := g.pr.ByID(by.By)
	switch {
	case known && by.Reason != "":
		return g.say("desk.l.held.why", message.ArgS("who", who.Label), day, message.ArgS("text", by.Reason))
	case known:
		return g.say("desk.l.held", message.ArgS("who", who.Label), day)
	case by.By != "":
		return g.say("desk.l.held.wish", day)
	}
	return g.say("desk.l.setting", message.ArgN("n", int(g.p.Course.Left)))
}

// flaggedLine: a flag waits for its release.
func flaggedLine(g *glance) (message.Line, bool) {
	var keys []string
	for i := range g.p.Course.Flags {
		keys = append(keys, flagKey(g.p.Course.Flags[i].ID))
	}
	if len(keys) == 0 {
		return g.not()
	}
	return g.say("desk.l.routine", message.Arg{Name: "reason", Kind: message.ArgList, S: strings.Join(keys, "|")})
}

// classLine: something of class E or S is open.
func classLine(g *glance) (message.Line, bool) {
	for _, q := range items([]flows.Patient{*g.p}) {
		if q.x.Class.Worse(redflag.ClassN) {
			return g.itemLine(q.x)
		}
	}
	return g.not()
}

// ListWords are the words of the lists.
func ListWords() []string {
	out := make([]string, len(listings))
	for i := range listings {
		out[i] = listings[i].word
	}
	return out
}

func listingOf(word string) (listing, bool) {
	for _, l := range listings {
		if l.word == word {
			return l, true
		}
	}
	return listing{}, false
}

// say makes a patient's line in a list.
func (g *glance) say(key string, args ...message.Arg) (message.Line, bool) {
	return message.Say(key, append(args, message.ArgS("label", g.p.Label))...), true
}

func (g *glance) not() (message.Line, bool) { return message.Line{}, false }

// since says a line with how many days something lasts.
func (g *glance) since(key string, from civil.Date) (message.Line, bool) {
	return g.say(key, message.ArgN("count", max(int(g.today-from), 0)), message.ArgD("day", from))
}

func (g *glance) open(reason string) *flows.Escalation {
	for i := range g.p.Escalations {
		if x := &g.p.Escalations[i]; x.Reason == reason {
			return x
		}
	}
	return nil
}

// itemLine shows an item with its reasons.
func (g *glance) itemLine(x *flows.Escalation) (message.Line, bool) {
	return g.say("desk.l.item", message.ArgK("class", classKey(x.Class)), reasonsArg("reason", g.p, x), message.ArgN("n", int(g.p.Headline(x.N))),
		message.ArgD("day", x.Raised.Date))
}

// overdueLine: nobody has taken it, and its day is over or it is urgent.
func overdueLine(g *glance) (message.Line, bool) {
	for _, q := range items([]flows.Patient{*g.p}) {
		if q.x.AckBy == "" && (q.x.Raised.Date < g.today || q.x.Class.Worse(redflag.ClassN)) {
			return g.itemLine(q.x)
		}
	}
	return g.not()
}

// callLine: a call was asked for, and is not made.
func callLine(g *glance) (message.Line, bool) {
	for _, q := range items([]flows.Patient{*g.p}) {
		if !slices.ContainsFunc(g.p.Item(q.x), func(i int) bool { return g.p.Escalations[i].Reason == flows.WhyCall }) {
			continue
		}
		args := []message.Arg{message.ArgN("n", int(g.p.Headline(q.x.N))), message.ArgD("day", q.x.Raised.Date)}
		if q.x.AckBy == "" {
			return g.say("desk.l.call", args...)
		}
		return g.say("desk.l.call.by", append(args, message.ArgS("who", nameOf(g.pr, q.x.AckBy)))...)
	}
	return g.not()
}

// mineLine: the reader has taken it, and it is not resolved.
func mineLine(g *glance) (message.Line, bool) {
	for _, q := range items([]flows.Patient{*g.p}) {
		if q.x.AckBy != "" && q.x.AckBy == g.reader.ID {
			return g.itemLine(q.x)
		}
	}
	return g.not()
}

// changedLine: another state than on the last working day.
func changedLine(g *glance) (message.Line, bool) {
	last := g.today - 1
	for d := g.today - 1; d > g.today-7; d-- {
		if o, ok := g.pr.Opens(civil.Wall{Date: d}); ok && o.Date == d {
			last = d
			break
		}
	}
	if g.p.Turned < last || g.p.Course.State <= chart.Invited {
		return g.not()
	}
	return g.say("desk.l.state", message.ArgK("state", stateKey(g.p.Course.State)))
}

// silentParts are since how many nights the parts of the silent are, the longest
// first.
var silentParts = [...]int{7, 3, silentFrom}

func silentPart(p *flows.Patient) int {
	for _, n := range silentParts {
		if silentNights(p) >= n {
			return n
		}
	}
	return silentFrom
}

// silentNights is for how many nights in a row nobody answered: after an emergency the
// check-ins wait, and the one question of the morning counts.
func silentNights(p *flows.Patient) int {
	if p.Emergency() != nil {
		return int(max(p.Talk.Silent, p.Talk.Unheard))
	}
	return int(p.Talk.Silent)
}

func silentLine(g *glance) (message.Line, bool) {
	n := silentNights(g.p)
	if n < silentFrom && g.open(flows.WhySilence) == nil || g.p.Course.State == chart.Ended {
		return g.not()
	}
	return g.say("desk.l.silent", message.ArgN("count", n))
}

func targetLine(g *glance) (message.Line, bool) {
	if g.p.Course.State != chart.Holding {
		return g.not()
	}
	return g.since("desk.l.since", g.p.Course.HoldFrom)
}

func ceilingLine(g *glance) (message.Line, bool) {
	c := &g.p.Course
	top := min(g.p.Plan.Limits.Ceiling, g.p.Appliance.Travel)
	if c.State != chart.Stepping || c.Left < top && g.open(pacing.P16.ID()) == nil {
		return g.not()
	}
	return g.say("desk.l.setting", message.ArgN("n", int(c.Left)))
}

func restingLine(g *glance) (message.Line, bool) {
	if c := &g.p.Course; c.State != chart.Resting || g.today-c.RestFrom < restLong {
		return g.not()
	}
	return g.since("desk.l.since", g.p.Course.RestFrom)
}

func releaseLine(g *glance) (message.Line, bool) {
	if !ready(g.p) {
		return g.not()
	}
	return g.say("desk.l.setting", message.ArgN("n", int(g.p.Course.Left)))
}

// testsLine: long at the target without a test, or a test was to come.
func testsLine(g *glance) (message.Line, bool) {
	c := &g.p.Course
	x := g.open(flows.WhyTest)
	switch {
	case x != nil:
		return g.since("desk.l.decide", x.Raised.Date)
	case c.State == chart.Holding && c.TestOn < c.HoldFrom && g.today-c.HoldFrom >= testWait:
		return g.since("desk.l.arrange", c.HoldFrom)
	case c.State == chart.Testing && g.p.TestOn > g.today:
		return g.say("desk.l.due", message.ArgD("day", g.p.TestOn))
	case c.State == chart.Testing && g.p.TestOn != 0 && g.today-g.p.TestOn >= testWait:
		return g.since("desk.l.overdue", g.p.TestOn)
	case c.State == chart.Testing && g.p.TestOn == 0 && g.today-g.p.Turned >= testWait && g.p.Turned != 0:
		return g.since("desk.l.overdue", g.p.Turned)
	}
	return g.not()
}

// reviewLine: 90 days, or what the plan says, without a clinician's contact.
func reviewLine(g *glance) (message.Line, bool) {
	c := &g.p.Course
	days := civil.Date(cmp.Or(g.p.Plan.Limits.ContactDays, practice.UsualContact))
	if g.open(flows.WhyReview) == nil && (!running(g.p) || c.Seen == 0 || c.Seen+days > g.today+dueSoon) {
		return g.not()
	}
	return g.say("desk.l.due", message.ArgD("day", c.Seen+days))
}

func recallLine(g *glance) (message.Line, bool) {
	if g.open(flows.WhyRecall) == nil && (g.p.Course.State != chart.Recall || g.p.Review == 0 || g.p.Review > g.today+dueSoon) {
		return g.not()
	}
	if x := g.open(flows.WhyRecall); x != nil {
		return g.say("desk.l.due", message.ArgD("day", x.Raised.Date))
	}
	return g.say("desk.l.due", message.ArgD("day", g.p.Review))
}

// openLine makes the list of whoever has something open for one reason.
func openLine(reason string) func(*glance) (message.Line, bool) {
	return func(g *glance) (message.Line, bool) {
		if x := g.open(reason); x != nil {
			return g.since("desk.l.since", x.Raised.Date)
		}
		return g.not()
	}
}

// routineLine: what waits without a card for another reason than a list of its own.
func routineLine(g *glance) (message.Line, bool) {
	var keys []string
	key := "desk.l.routine.told"
	for _, q := range sorted([]flows.Patient{*g.p}) {
		if q.x.Quiet && q.x.List() == "routine" {
			keys = append(keys, flows.ReasonKey(q.x.Reason))
			if !g.p.Eased(q.x) {
				key = "desk.l.routine"
			}
		}
	}
	if len(keys) == 0 {
		return g.not()
	}
	return g.say(key, message.Arg{Name: "reason", Kind: message.ArgList, S: strings.Join(keys, "|")})
}
