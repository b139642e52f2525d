package desk

import (
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// maxDrafts is how many enrolments may wait for one clinician.
const maxDrafts = 8

// order lists the places of all blanks in the order they are asked: by part.
func order(fields []enrol.FormField) []int {
	out := make([]int, 0, len(fields))
	for part := enrol.FormPart(0); part < enrol.NumParts; part++ {
		for i := range fields {
			if fields[i].Part == part {
				out = append(out, i)
			}
		}
	}
	return out
}

// enrol opens the form. Everything may be pasted at once, at any time.
func (t *turn) enrol() {
	if !t.may(practice.Assistant, opEnrol) {
		return
	}
	if t.c.Open() && t.c.Form.Stage != Waiting {
		t.busy()
		return
	}
	t.c.Form = Form{Op: opEnrol, Nonce: t.nonce(), Stage: Asking, New: flows.NewPatientID(t.e.Seed), Since: t.now()}
	t.say(message.Say("enrol.begin"))
	t.question()
}

// enrolQuestion asks for the first blank that is open, or shows the summary.
func (t *turn) enrolQuestion() {
	f := &t.c.Form
	fields := enrol.FormFields()
	f.Field = 0
	for _, i := range order(fields) {
		if f.Filled.Has(i) || !fields[i].Asked(&f.Filled.Enrolment) {
			continue
		}
		f.Stage, f.Field = Asking, int16(i+1)
		var last []message.Button
		if !fields[i].Need {
			last = append(last, t.tap("desk.b.skip", "skip"))
		}
		if t.restIsEasy(fields, i) {
			last = append(last, t.tap("desk.b.rest", "rest"))
		}
		if len(f.Trail) > 0 {
			last = append(last, t.tap("desk.b.back", "back"))
		}
		t.putField(fields[i].Key, append(last, t.tap("desk.b.cancel", "x")))
		return
	}
	t.enrolSummary()
}

// enrolSaid takes typed words: pasted lines, or the answer to the open blank.
func (t *turn) enrolSaid(s flows.Said) {
	f := &t.c.Form
	fields := enrol.FormFields()
	pairs := pairsOf(s)
	known := slices.ContainsFunc(pairs, func(p enrol.Pair) bool { return enrol.FormIndex(fields, p.Key) >= 0 })
	switch word := s.Reading.Word; {
	case word == reading.WordBlank:
		t.blank()
	case known:
		t.paste(pairs, s.Zones)
	case word == reading.WordSkip:
		t.enrolTap("skip")
	case word == reading.WordDone:
		t.takeRest()
	case f.Stage == Summing && word == reading.WordYes:
		t.sign()
	case f.Stage == Summing && word == reading.WordNo:
		t.cancel()
	case f.Stage != Asking || f.Field < 1 || int(f.Field) > len(fields):
		t.question()
	case fields[f.Field-1].Kind == enrol.FormZone:
		t.zoneSaid(s)
	default:
		t.enrolValue(int(f.Field)-1, t.value(fields[f.Field-1], strings.TrimSpace(s.Text), s))
	}
}

func (t *turn) enrolTap(arg string) {
	f := &t.c.Form
	fields := enrol.FormFields()
	switch {
	case arg == "sign" && f.Stage == Summing:
		t.sign()
		return
	case strings.HasPrefix(arg, "to") && f.Stage == Summing:
		t.handOver(arg[2:])
		return
	case f.Stage != Asking || f.Field < 1 || int(f.Field) > len(fields):
		t.sayKey("desk.form.gone")
		return
	}
	i := int(f.Field) - 1
	switch {
	case arg == "skip" && fields[i].Need:
		t.question()
	case arg == "skip":
		f.Filled.Skip(i)
		f.Trail = append(f.Trail[:len(f.Trail):len(f.Trail)], f.Field)
		t.question()
	case arg == "rest":
		t.takeRest()
	case arg == edgeArg && fields[i].Key == startKey:
		t.edgeToEdge(i)
	case arg == "d":
		t.enrolValue(i, fields[i].DefaultFor(t.pr, &f.Filled.Enrolment, t.e.Office.Date))
	case strings.HasPrefix(arg, "z") && fields[i].Kind == enrol.FormZone:
		if n, err := strconv.Atoi(arg[1:]); err == nil && n >= 0 && n < len(f.Zones) {
			t.enrolValue(i, f.Zones[n])
			return
		}
		t.question()
	default:
		if c, ok := choiceArg(fields[i], arg); ok {
			arg = c
		}
		t.enrolValue(i, arg)
	}
}

// enrolValue puts one answer in its place and asks on.
func (t *turn) enrolValue(i int, text string) {
	f := &t.c.Form
	fields := enrol.FormFields()
	if fields[i].Kind == enrol.FormLang && len(t.pr.Langs) > 0 && !slices.Contains(t.pr.Langs, strings.ToLower(text)) {
		t.problems([]enrol.Problem{{Field: fields[i].Key, Key: "enrol.bad.lang",
			Args: []message.Arg{message.ArgS("said", cut(text, 20))}}})
		return
	}
	if ps := f.Filled.Put(fields, i, text); len(ps) > 0 {
		t.problems(ps)
		return
	}
	f.Trail = append(f.Trail[:len(f.Trail):len(f.Trail)], int16(i+1))
	if at := enrol.FormIndex(fields, startKey); fields[i].Key == overjetKey && !f.Filled.Has(at) { // asked for its sake
		t.enrolValue(at, text)
		return
	}
	t.question()
}

// The start can be given as edge to edge: that is the overjet, from the habitual bite.
const startKey, overjetKey, edgeArg = "start", "overjet-mm", "edge"

// edgeToEdge starts where the front teeth meet; the overjet is asked first where it
// is not known.
func (t *turn) edgeToEdge(start int) {
	f := &t.c.Form
	fields := enrol.FormFields()
	at := enrol.FormIndex(fields, overjetKey)
	if f.Filled.Has(at) && f.Filled.Enrolment.Baseline.Overjet.Known() {
		t.enrolValue(start, fields[at].Text(&f.Filled.Enrolment))
		return
	}
	f.Field = int16(at + 1)
	t.putField(overjetKey, []message.Button{t.tap("desk.b.cancel", "x")})
}

// zoneSaid takes a zone that the text names; several are offered, none asks
// for the time that a clock there shows now.
func (t *turn) zoneSaid(s flows.Said) {
	f := &t.c.Form
	switch len(s.Zones) {
	case 0:
		t.sayKey("enrol.zone.none")
	case 1:
		t.enrolValue(int(f.Field)-1, s.Zones[0])
	default:
		t.offerZones(s.Zones)
	}
}

// offerZones lets the person choose among several.
func (t *turn) offerZones(zones []string) {
	t.c.Form.Zones = zones
	m := message.Message{Lines: []message.Line{message.Say("enrol.zone.which")}}
	for n, z := range zones {
		m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.zone", message.ArgS("zone", z)), "z"+
			strconv.Itoa(n))})
	}
	m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.cancel", "x")})
	t.send(m)
}

// enrolBack opens the last blank that was answered by itself.
func (t *turn) enrolBack() {
	f := &t.c.Form
	if n := len(f.Trail); n > 0 {
		f.Filled.Open(int(f.Trail[n-1]) - 1)
		f.Trail = f.Trail[: n-1 : n-1]
	}
	t.question()
}

func cut(s string, n int) string {
	for i := range s {
		if n == 0 {
			return s[:i]
		}
		n--
	}
	return s
}
