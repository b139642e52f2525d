package desk

import (
	"slices"
	"strconv"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// Show gives the paragraphs and buttons of a view as things stand, for one
// reader. In the staff group, where the reader is nobody in particular, a
// patient is a label and a number and no more.
func Show(pr practice.Practice, reader practice.Staff, m message.Message, subject flows.Patient,
	listed []flows.Patient) ([]message.Line, [][]message.Button) {
	private := Private(reader)
	switch m.View {
	case message.ViewQueue:
		return Queue(&pr, listed, m.MediaOf, private), openButtons(listed, m.MediaOf, private)
	case message.ViewFind, message.ViewList:
		if !private {
			return []message.Line{message.Say("desk.group.private")}, nil
		}
		if p := exact(m, listed); p != nil { // no tap more than is needed
			return append(Card(&pr, p), estimateCard(&pr, reader, p)...), cardButtons(p, reader)
		}
		return list(m, listed)
	case message.ViewDigest:
		if !private {
			return []message.Line{message.Say("desk.group.private")}, nil
		}
		return Digest(&pr, reader, m.MediaOf, listed)
	case message.NoView:
		return nil, nil
	}
	if subject.ID == "" {
		return []message.Line{message.Say("desk.nopatient")}, nil
	}
	p := &subject
	switch {
	case m.View == message.ViewEscalation:
		return escalation(&pr, p, m.MediaOf, private, len(m.Lines) > 0), escalationButtons(p, m.MediaOf, reader, private)
	case !private:
		return []message.Line{message.Say("desk.group.private")}, nil
	case m.View == message.ViewDiary:
		return Diary(p), cardButton(p)
	case m.View == message.ViewCourse:
		return Course(p), cardButton(p)
	case m.View == message.ViewOutcomes:
		return Outcomes(p), append(cardButton(p), outcomeWhys(p)...)
	case m.View == message.ViewEstimate:
		return Estimates(&pr, reader, p), cardButton(p)
	case m.View == message.ViewPlan:
		return Plan(p), append(append(cardButton(p), []message.Button{button(p, opOutcomes, "")}),
			[]message.Button{{Label: message.Say("desk.b.whyall"), Op: opWhy, Arg: reading.WhyAll}})
	case m.MediaOf == opNotes:
		return Notes(&pr, p), cardButton(p)
	case m.MediaOf == opMore:
		return []message.Line{head(p)}, allButtons(&pr, p, reader.Role)
	}
	return append(Card(&pr, p), estimateCard(&pr, reader, p)...), cardButtons(p, reader)
}

// Private reports whether a reader may see more of a patient than a label and a
// number, in words or as a picture.
func Private(reader practice.Staff) bool { return reader.Role > practice.NoRole && !reader.Removed }

func head(p *flows.Patient) message.Line {
	return message.Say("desk.card.head", message.ArgS("label", p.Label), message.ArgK("state", stateKey(p.Course.State)))
}

func stateKey(s chart.State) string { return "desk.state." + s.String() }

func classKey(c redflag.Class) string {
	switch c {
	case redflag.ClassE, redflag.ClassS, redflag.ClassN, redflag.ClassR:
		return "desk.class." + string([]byte{byte(c) + 'a' - 'A'})
	}
	return "desk.class.none"
}

func flagKey(id string) string { return "flag." + id + ".name" }

func ruleKey(r chart.Rule) string {
	if rule := pacing.RuleRow(r); rule.Rule != 0 {
		return rule.Name
	}
	return "desk.none"
}

// button makes a button about a patient.
func button(p *flows.Patient, op, arg string) message.Button {
	b := message.Button{Label: message.Say("desk.b." + op), Op: op, Arg: arg, Patient: p.ID}
	if i := actIndex(op); i >= 0 && acts[i].made {
		b.Nonce = strconv.Itoa(int(p.MadeFor()))
	}
	return b
}

// mostRows is how many escalations have their own row of buttons on a card.
const mostRows = 5

// numbered makes a button about an escalation; where several are open, it says which.
func numbered(p *flows.Patient, op, n string) message.Button {
	b := button(p, op, n)
	if len(items([]flows.Patient{*p})) < 2 {
		return b
	}
	b.Label = message.Say("desk.b.number", message.ArgS("n", headline(p, n)), message.ArgK("what", "desk.b."+op))
	return b
}

// headline is the number of an item as people know it.
func headline(p *flows.Patient, n string) string {
	v, err := strconv.ParseInt(n, 10, 32)
	if err != nil {
		return cut(n, 8)
	}
	return strconv.Itoa(int(p.Headline(int32(v))))
}

func cardButton(p *flows.Patient) [][]message.Button {
	return [][]message.Button{{button(p, opCard, ""), button(p, opMore, "")}}
}

func escalationButtons(p *flows.Patient, number string, reader practice.Staff, private bool) [][]message.Button {
	for i := range p.Escalations {
		x := &p.Escalations[i]
		n := strconv.Itoa(int(x.N))
		if n != number {
			continue
		}
		row := []message.Button{}
		switch {
		case x.AckBy == "":
			row = append(row, button(p, opAck, n))
		case x.AckBy == reader.ID && unreadIn(p, x):
			row = append(row, readButton(button(p, opAck, n)))
		}
		if private && x.AckBy != "" && x.AckBy != reader.ID {
			row = append(row, button(p, opTake, n))
		}
		if !private {
			return [][]message.Button{append(row, button(p, opCard, ""))}
		}
		if row = append(row, button(p, opNote, n)); p.Closable(x, reader) {
			row = append(row, button(p, opResolve, n))
		}
		out := [][]message.Button{row}
		if p.Flagged(x) && reader.Role >= practice.Clinician {
			out = append(out, []message.Button{button(p, opRelease, "")})
		}
		if x.Reason == flows.WhyConsent && unsure(p) {
			out = append([][]message.Button{{button(p, opConfirm, ""), button(p, opDeny, "")}}, out...)
		}
		if harmless(p, x) {
			out = append(out, []message.Button{button(p, opHarmless, n)})
		}
		out = append(out, []message.Button{button(p, opCard, ""), button(p, opContact, "")})
		return append(out, whyButtons(p, p.Escalations[i:i+1])...)
	}
	return cardButton(p)[:1]
}

// harmless reports whether an item can be closed as no danger by one tap.
func harmless(p *flows.Patient, x *flows.Escalation) bool { return x.Unsure && !p.Flagged(x) }

// may reports whether a role may do with a patient what a button stands for, as things are.
func may(p *flows.Patient, op string, role practice.Role) bool {
	a := acts[actIndex(op)]
	return role >= a.role && a.when != nil && a.when(p)
}

// unreadIn reports whether an item has words that nobody has read since it was taken.
func unreadIn(p *flows.Patient, x *flows.Escalation) bool {
	return slices.ContainsFunc(p.Item(x), func(i int) bool { return p.Escalations[i].Unread })
}

// readButton makes of the button that takes an item one by which its holder says that
// the words that came to it since are read: until then no step goes forward.
func readButton(b message.Button) message.Button {
	b.Label = message.Say("desk.b.read")
	return b
}

// cardButtons are what a reader most likely needs now; the rest is behind more.
func cardButtons(p *flows.Patient, reader practice.Staff) [][]message.Button {
	var out [][]message.Button
	role, open := reader.Role, items([]flows.Patient{*p})
	for _, q := range open[:min(len(open), mostRows)] {
		n := strconv.Itoa(int(q.x.N))
		row := []message.Button{numbered(p, opNote, n)}
		if p.Closable(q.x, reader) {
			row = append([]message.Button{numbered(p, opResolve, n)}, row...)
		}
		if q.x.AckBy == "" {
			row = append([]message.Button{numbered(p, opAck, n)}, row...)
		} else if q.x.AckBy != reader.ID {
			row = append([]message.Button{numbered(p, opTake, n)}, row...)
		} else if unreadIn(p, q.x) {
			row = append([]message.Button{readButton(button(p, opAck, n))}, row...)
		}
		out = append(out, row)
		if harmless(p, q.x) {
			out = append(out, []message.Button{numbered(p, opHarmless, n)})
		}
	}
	for _, ops := range [...][]string{{opConfirm, opDeny}, {opRelease, opVisit}, {opStep}} {
		if !may(p, ops[0], role) {
			continue
		}
		row := []message.Button{}
		for _, op := range ops {
			if may(p, op, role) {
				row = append(row, button(p, op, ""))
			}
		}
		out = append(out, row)
	}
	out = append(out, whyButtons(p, p.Escalations)...)
	if role >= practice.Clinician && nightsToRead(p) {
		out = append(out, []message.Button{button(p, opEstimate, "")})
	}
	people := []message.Button{button(p, opContact, "")}
	if may(p, opTranscribe, role) {
		people = append(people, button(p, opTranscribe, ""))
	}
	return append(out, people,
		[]message.Button{button(p, opDiary, ""), button(p, opCourse, ""), button(p, opNotes, "")},
		[]message.Button{button(p, opShowPlan, ""), button(p, opMore, "")})
}

// allButtons are all that a role may do with a patient as it stands.
func allButtons(pr *practice.Practice, p *flows.Patient, role practice.Role) [][]message.Button {
	var row []message.Button
	for _, a := range acts {
		one := a.op == opResume && role >= practice.Clinician && running(p) && p.HeldIn(pr) // out of a hold of everything
		if a.op == opResume && role < practice.Clinician && pr.Held {                       // who resumes everything ends that hold
			continue
		}
		if a.when != nil && role >= a.role && (a.when(p) || one) {
			row = append(row, button(p, a.op, ""))
		}
	}
	return append(slices.Collect(slices.Chunk(row, 2)),
		[]message.Button{button(p, opCard, ""), button(p, opDiary, ""), button(p, opCourse, "")},
		[]message.Button{button(p, opNotes, ""), button(p, opShowPlan, ""), button(p, opOutcomes, "")})
}

// openButtons open the cards of those on a page of the queue, and the other pages.
func openButtons(ps []flows.Patient, mediaOf string, private bool) [][]message.Button {
	var out [][]message.Button
	all := items(ps)
	page, pages := queuePage(mediaOf, len(all))
	for _, q := range all[page*queueMost : min(len(all), (page+1)*queueMost)] {
		b := message.Button{Label: message.Say("desk.b.open", message.ArgS("label", q.p.Label)), Op: opCard, Patient: q.p.ID}
		row := []message.Button{b}
		if q.x.AckBy == "" {
			row = append(row, numbered(q.p, opAck, strconv.Itoa(int(q.x.N))))
		}
		out = append(out, row)
	}
	return append(out, turns(opMenu, "q", page, pages)...)
}

// turns are the buttons to the page before and the next.
func turns(op, head string, page, pages int) (rows [][]message.Button) {
	var row []message.Button
	if page > 0 {
		row = append(row, message.Button{Label: message.Say("desk.b.newer"), Op: op, Arg: head + strconv.Itoa(page-1)})
	}
	if page+1 < pages {
		row = append(row, message.Button{Label: message.Say("desk.b.older"), Op: op, Arg: head + strconv.Itoa(page+1)})
	}
	if len(row) > 0 {
		rows = append(rows, row)
	}
	return rows
}
