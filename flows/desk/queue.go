package desk

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// queued is one open escalation with its patient, and of which kind it is.
type queued struct {
	p    *flows.Patient
	x    *flows.Escalation
	kind int
}

// Kinds of what is open, within a class: a flag, or what is perhaps one; what somebody
// asks for, or a rule does; what counts evenings and calls that are due.
const (
	kindFlag = iota
	kindAsked
	kindRoutine
)

func kindOf(x *flows.Escalation) int {
	switch {
	case x.Unsure || redflag.Find(x.Reason) != nil:
		return kindFlag
	case flows.Routine(x.Reason):
		return kindRoutine
	}
	return kindAsked
}

// sorted lists all open escalations, the most urgent first.
func sorted(ps []flows.Patient) []queued {
	var out []queued
	for i := range ps {
		for j := range ps[i].Escalations {
			x := &ps[i].Escalations[j]
			out = append(out, queued{&ps[i], x, kindOf(x)})
		}
	}
	slices.SortStableFunc(out, byUrgency)
	return out
}

// byUrgency orders by the class and, within one, by the kind; then those nobody has
// taken come first, then the minute of the deadline, then the oldest.
func byUrgency(a, b queued) int {
	switch {
	case a.x.Class.Worse(b.x.Class):
		return -1
	case b.x.Class.Worse(a.x.Class):
		return 1
	}
	return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(bit(a.x.AckBy != ""), bit(b.x.AckBy != "")),
		cmp.Compare(a.x.Deadline/60, b.x.Deadline/60), cmp.Compare(a.x.RaisedAt, b.x.RaisedAt),
		cmp.Compare(a.p.Label, b.p.Label), cmp.Compare(a.p.ID, b.p.ID), cmp.Compare(a.x.N, b.x.N))
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// queueMost is how many items of the queue one message shows, each with its buttons.
const queueMost = 10

// queuePage is the page that a message names, as far as there is one, and how many
// there are.
func queuePage(mediaOf string, items int) (page, pages int) {
	pages = max((items+queueMost-1)/queueMost, 1)
	page, _ = strconv.Atoi(mediaOf)
	return min(max(page, 0), pages-1), pages
}

// inDigest reports whether something is a line of the digest alone: what is perhaps a
// danger stands among the items, too.
func inDigest(x *flows.Escalation) bool { return x.Quiet && !x.Unsure }

// items are the escalations that give an item its number, without those that wait in
// the digest: each stands where the most urgent of its reasons does.
func items(ps []flows.Patient) []queued {
	out := slices.DeleteFunc(sorted(ps), func(q queued) bool { return inDigest(q.x) || !q.p.Lead(q.x) })
	for i := range out {
		for _, j := range out[i].p.Item(out[i].x) {
			if x := &out[i].p.Escalations[j]; !inDigest(x) {
				out[i].kind = min(out[i].kind, kindOf(x))
			}
		}
	}
	slices.SortStableFunc(out, byUrgency)
	return out
}

// reasonsArg names all that an item is open for, the worst first.
func reasonsArg(name string, p *flows.Patient, x *flows.Escalation) message.Arg {
	var keys []string
	for _, q := range sorted([]flows.Patient{*p}) {
		if key := flows.ReasonKey(q.x.Reason); (q.x.N == x.N || !x.Alone() && !q.x.Alone()) && !slices.Contains(keys, key) {
			keys = append(keys, key)
		}
	}
	if len(keys) == 1 {
		return message.ArgK(name, keys[0])
	}
	return message.Arg{Name: name, Kind: message.ArgList, S: strings.Join(keys, "|")}
}

// Queue shows the open items, and how many wait in the lists. Without a private
// reader it names label, class and number alone.
func Queue(pr *practice.Practice, ps []flows.Patient, mediaOf string, private bool) []message.Line {
	all := items(ps)
	page, pages := queuePage(mediaOf, len(all))
	waiting := 0
	for i := range ps {
		if slices.ContainsFunc(ps[i].Escalations, func(x flows.Escalation) bool { return inDigest(&x) }) {
			waiting++
		}
	}
	var rest []message.Line
	if waiting > 0 {
		rest = []message.Line{message.Say("desk.queue.routine", message.ArgN("count", waiting))}
	}
	if len(all) == 0 {
		return append([]message.Line{message.Say("desk.queue.empty")}, rest...)
	}
	lines := []message.Line{message.Say("desk.queue.head", message.ArgN("count", len(all)))}
	for _, q := range all[page*queueMost : min(len(all), (page+1)*queueMost)] {
		taken := "desk.queue.open"
		if q.x.AckBy != "" {
			taken = "desk.queue.taken"
		}
		args := []message.Arg{message.ArgK("class", classKey(q.x.Class)), message.ArgS("label", q.p.Label),
			message.ArgN("n", int(q.p.Headline(q.x.N))), message.ArgK("taken", taken)}
		if !private {
			lines = append(lines, message.Say("desk.queue.short", args...))
			continue
		}
		key := "desk.queue.line"
		if q.x.AckBy != "" {
			key = "desk.queue.line.by"
			args = append(args, message.ArgS("who", nameOf(pr, q.x.AckBy)))
		}
		lines = append(lines, message.Say(key, append(args, reasonsArg("reason", q.p, q.x),
			message.ArgD("day", q.x.Raised.Date), message.ArgC("time", q.x.Raised.Clock))...))
	}
	if n := len(all) - (page+1)*queueMost; page+1 < pages {
		lines = append(lines, message.Say("desk.queue.more", message.ArgN("count", n)))
	}
	return append(lines, rest...)
}

// exact is the one patient that was meant: the only one found, or the only one whose label
// is what was typed; nil where there are several, or none.
func exact(m message.Message, ps []flows.Patient) (one *flows.Patient) {
	if m.View != message.ViewFind || len(ps) == 0 {
		return nil
	}
	if len(ps) == 1 {
		return &ps[0]
	}
	for i := range ps {
		switch {
		case !strings.EqualFold(ps[i].Label, m.MediaOf):
		case one != nil:
			return nil
		default:
			one = &ps[i]
		}
	}
	return one
}

// pageSize is how many patients a page of the list shows.
const pageSize = 10

// list shows patients found by label, or a page of all: MediaOf holds the page.
func list(m message.Message, ps []flows.Patient) ([]message.Line, [][]message.Button) {
	if m.View == message.ViewFind && len(ps) == 0 {
		return []message.Line{message.Say("desk.find.none", message.ArgS("label", m.MediaOf)), message.Say("desk.find.how")},
			nil
	}
	if len(ps) == 0 {
		return []message.Line{message.Say("desk.list.empty")}, nil
	}
	page := 0
	if n, err := strconv.Atoi(m.MediaOf); err == nil && m.View == message.ViewList {
		page = min(max(n, 0), (len(ps)-1)/pageSize)
	}
	ps = slices.Clone(ps)
	slices.SortStableFunc(ps, func(a, b flows.Patient) int {
		return cmp.Or(cmp.Compare(a.Course.State, b.Course.State), cmp.Compare(a.Label, b.Label), cmp.Compare(a.ID, b.ID))
	})
	lines := []message.Line{message.Say("desk.list.head", message.ArgN("count", len(ps)))}
	var rows [][]message.Button
	for i := page * pageSize; i < min(len(ps), (page+1)*pageSize); i++ {
		p := &ps[i]
		lines = append(lines, message.Say("desk.list.line", message.ArgS("label", p.Label),
			message.ArgK("state", stateKey(p.Course.State)), message.ArgN("setting", int(p.Course.Left)),
			message.ArgN("open", len(p.Escalations))))
		rows = append(rows, []message.Button{{Label: message.Say("desk.b.open", message.ArgS("label", p.Label)), Op: opCard,
			Patient: p.ID}})
	}
	rows = append(rows, turns(opMenu, "p", page, (len(ps)+pageSize-1)/pageSize)...)
	return lines, rows
}
