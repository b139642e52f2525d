package desk

import (
	"fmt"
	"slices"
	"strconv"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// has reports whether a button for an op, and where n is not empty for that item, is among rows.
func has(rows [][]message.Button, op, n string) bool {
	for _, row := range rows {
		if slices.ContainsFunc(row, func(b message.Button) bool { return b.Op == op && (n == "" || b.Arg == n) }) {
			return true
		}
	}
	return false
}

// A card shows what its reader can do now, and all of it: Resolve where it would be done,
// Release to a clinician where a flag waits for it, and nothing that is only refused.
func TestACardShowsWhatItsReaderCanDo(t *testing.T) {
	w := newWorld(t)
	at := civil.Wall{Date: 20512, Clock: 480}
	esc := func(n int32, c redflag.Class, reason string) flows.Escalation {
		return flows.Escalation{N: n, Class: c, Reason: reason, Raised: at, RaisedAt: int64(n), Deadline: 90, Rings: 1}
	}
	flag := func(n int32, id string) []redflag.Flag {
		return []redflag.Flag{{ID: id, Class: redflag.ClassS, Wear: redflag.WearOut, At: at, Resume: 2, Esc: n}}
	}
	unsure := esc(1, redflag.ClassS, "tooth.loose")
	unsure.Unsure = true
	for name, change := range map[string]func(*flows.Patient){
		"a call":             func(p *flows.Patient) { p.Escalations = []flows.Escalation{esc(1, redflag.ClassN, flows.WhyCall)} },
		"a clinician's rule": func(p *flows.Patient) { p.Escalations = []flows.Escalation{esc(1, redflag.ClassN, flows.WhyReview)} },
		"a flag": func(p *flows.Patient) {
			p.Escalations, p.Course.Flags = []flows.Escalation{esc(1, redflag.ClassS, "breath")}, flag(1, "breath")
		},
		"a flag and a call": func(p *flows.Patient) {
			p.Escalations, p.Course.Flags = []flows.Escalation{esc(1, redflag.ClassN, flows.WhyCall), esc(2, redflag.ClassN, "tooth.loose")}, flag(2, "tooth.loose")
		},
		"perhaps": func(p *flows.Patient) { p.Escalations = []flows.Escalation{unsure} },
		"the right person?": func(p *flows.Patient) {
			p.Escalations, p.Chat, p.Consent, p.Gen, p.Sure = []flows.Escalation{esc(1, redflag.ClassN, flows.WhyConsent)}, 9, "1", 1, 0
		},
		"of an ended patient": func(p *flows.Patient) {
			p.Escalations, p.Course.State = []flows.Escalation{esc(1, redflag.ClassN, flows.WhyAfter)}, chart.Ended
		},
	} {
		for _, reader := range []practice.Staff{ondine, teal} {
			p := samplePatient()
			change(&p)
			refused := func(o flows.Order) string {
				o.Actor, o.Chat = flows.Actor{ID: reader.ID}, reader.Chat
				if o.Chat == 0 {
					o.Chat = map[string]int64{"s1": clinician, "s2": assistant}[reader.ID]
				}
				_, fx := flows.Next(w.pr, p, w.event(o))
				for _, x := range fx {
					if l, ok := x.(flows.Log); ok && l.What == "order.refused" {
						return l.What
					}
					if s, ok := x.(flows.Send); ok && s.Chat == o.Chat {
						for _, l := range s.Msg.Lines {
							if l.Key == "order.resolve.flag" || l.Key == "order.resolve.person" || l.Key == "order.flag.none" || l.Key == "order.harmless.not" {
								return l.Key
							}
						}
					}
				}
				return ""
			}
			for i := range p.Escalations {
				x := &p.Escalations[i]
				if !p.Lead(x) {
					continue
				}
				n := strconv.Itoa(int(x.N))
				_, ring := Show(w.pr, reader, message.Message{View: message.ViewEscalation, MediaOf: n}, p, nil)
				_, card := Show(w.pr, reader, message.Message{View: message.ViewCard}, p, nil)
				for at, rows := range map[string][][]message.Button{"ring": ring, "card": card} {
					where := fmt.Sprintf("%s of %s for %s", at, name, reader.Label)
					if why := refused(flows.Order{Op: flows.OrderResolve, Esc: x.N, Text: "done"}); has(rows, opResolve, n) != (why == "") {
						t.Errorf("%s: Resolve %v, and it is refused with %q", where, has(rows, opResolve, n), why)
					}
					if why := refused(flows.Order{Op: flows.OrderRelease, Text: "seen"}); has(rows, opRelease, "") != (why == "") {
						t.Errorf("%s: Release %v, and it is refused with %q", where, has(rows, opRelease, ""), why)
					}
					if why := refused(flows.Order{Op: flows.OrderHarmless, Esc: x.N}); has(rows, opHarmless, n) != (why == "") {
						t.Errorf("%s: Harmless %v, and it is refused with %q", where, has(rows, opHarmless, n), why)
					}
				}
				if running := p.Course.State != chart.Ended; has(card, opTranscribe, "") != running {
					t.Errorf("card of %s: Write down answers %v", name, !running)
				}
			}
		}
	}
}

// What would only be refused is not among all buttons: a step above the ceiling, a grant of no
// more, a position that no test has proved.
func TestAllButtonsCanBeUsed(t *testing.T) {
	p := samplePatient()
	pr := newWorld(t).pr
	all := func() [][]message.Button { return allButtons(&pr, &p, practice.Clinician) }
	p.Course.Advice.Ready = true
	if rows := all(); !has(rows, opStep, "") || !has(rows, opGrant, "") {
		t.Error("a step or a grant is missing")
	}
	p.Course.Left = p.Plan.Limits.Ceiling
	if rows := all(); has(rows, opStep, "") || has(rows, opGrant, "") {
		t.Error("a step or a grant above the ceiling")
	}
	p.Course.Left, p.Course.State = 3, chart.Testing
	if has(all(), opSteady, "") {
		t.Error("steady without a test")
	}
	p.Tests = []chart.SleepTest{{On: 20511, Kind: "home", By: "Dr Marsh", InPlace: true, AHI10: chart.Num(40), Setting: 3}}
	if p.Course.TestOn = 20511; !has(all(), opSteady, "") {
		t.Error("no steady with a test")
	}
}
