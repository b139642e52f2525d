package desk

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// digestOf shows a list as of the world's day.
func (w *world) digestOf(word string, page int, ps []flows.Patient) ([]message.Line, [][]message.Button) {
	at := shownAt{word, page, civil.Date(w.now.Unix() / 86400), w.now.Unix()}
	return Show(w.pr, ondine, message.Message{View: message.ViewDigest, MediaOf: at.String()}, flows.Patient{}, ps)
}

func lineOf(lines []message.Line, label string) bool {
	return slices.ContainsFunc(lines, func(l message.Line) bool {
		return slices.ContainsFunc(l.Args, func(a message.Arg) bool { return a.Name == "label" && a.S == label })
	})
}

// Whatever waits for the digest is in it and in the list that closes it.
func TestWhatWaitsIsInItsList(t *testing.T) {
	w := newWorld(t)
	reasons := []string{flows.WhySilence, flows.WhyMile, flows.WhyReview, flows.WhyRecall, flows.WhyMessage, flows.WhyTest}
	for _, id := range []chart.Rule{pacing.P05, pacing.P10, pacing.P11, pacing.P12, pacing.P14} {
		reasons = append(reasons, id.ID())
	}
	for _, row := range redflag.Rows() {
		reasons = append(reasons, row.ID) // of class R
	}
	for _, why := range reasons {
		p := w.patient
		p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: why, Quiet: true, RaisedAt: w.now.Unix()}}
		list := flows.ListOf(why)
		for _, word := range []string{digestName, list} {
			lines, rows := w.digestOf(word, 0, []flows.Patient{p})
			w.check(message.Message{Lines: lines, Inline: rows})
			opens, closes := false, false
			for _, row := range rows {
				for _, b := range row {
					opens = opens || b.Op == opCard && b.Patient == p.ID
					closes = closes || b.Op == opSweep && b.Arg == list
				}
			}
			stays := slices.ContainsFunc(lines, func(l message.Line) bool { return l.Key == "desk.l.stay" })
			if calls := why == "P05" || why == "P10"; stays != calls { // a call is no click
				t.Errorf("%s in %s: says that it stays: %v", why, word, stays)
			}
			if !lineOf(lines, p.Label) || !opens || closes == (why == flows.WhyTest || stays) { // nor is a decision
				t.Errorf("%s in %s: line %v, opens %v, closes %v", why, word, lineOf(lines, p.Label), opens, closes)
			}
		}
	}
}

// What is perhaps a danger, and waits to be read, is a line that says so, an item of the
// queue, and a card with the tap that closes it; no list closes it.
func TestDoubtIsReadWithWords(t *testing.T) {
	w := newWorld(t)
	p := w.patient
	p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: "tooth.loose", Quiet: true, Unsure: true, Quote: "is it to be like that?",
		RaisedAt: w.now.Unix(), GrewAt: w.now.Unix()}}
	for _, word := range []string{digestName, wordsList} {
		lines, rows := w.digestOf(word, 0, []flows.Patient{p})
		w.check(message.Message{Lines: lines, Inline: rows})
		if !slices.ContainsFunc(lines, func(l message.Line) bool { return l.Key == "desk.l.doubt" }) {
			t.Errorf("%s: %v", word, lines)
		}
		for _, row := range rows {
			for _, b := range row {
				if b.Op == opSweep {
					t.Errorf("%s closes it", word)
				}
			}
		}
	}
	if lines := Queue(&w.pr, []flows.Patient{p}, "", true); !lineOf(lines, p.Label) {
		t.Errorf("not in the queue: %v", lines)
	}
	if !slices.ContainsFunc(cardButtons(&p, ondine), func(row []message.Button) bool {
		return slices.ContainsFunc(row, func(b message.Button) bool { return b.Op == opHarmless })
	}) {
		t.Error("its card has no tap for it")
	}
	if _, in := routineLine(&glance{p: &p, pr: &w.pr, reader: ondine}); in {
		t.Error("it is routine, too")
	}
}

// Each list has who belongs in it.
func TestLists(t *testing.T) {
	today := civil.Date(time.Date(2026, time.March, 2, 0, 0, 0, 0, time.UTC).Unix() / 86400)
	for word, change := range map[string]func(*flows.Patient){
		"overdue":  func(p *flows.Patient) { p.Escalations[0].Raised.Date = today - 1 },
		"callback": func(p *flows.Patient) { p.Escalations[0].Reason = flows.WhyCall },
		"mine":     func(p *flows.Patient) { p.Escalations[0].AckBy = "s1" },
		"changed":  func(p *flows.Patient) { p.Turned = today - 1 },
		"silent":   func(p *flows.Patient) { p.Talk.Silent = 2 },
		"target":   func(p *flows.Patient) { p.Course.State, p.Course.HoldFrom = chart.Holding, today-3 },
		"ceiling":  func(p *flows.Patient) { p.Course.Left = p.Plan.Limits.Ceiling },
		"nogain":   func(p *flows.Patient) { p.Escalations[0].Reason = pacing.P17.ID() },
		"resting":  func(p *flows.Patient) { p.Course.State, p.Course.RestFrom = chart.Resting, today-10 },
		"release":  func(p *flows.Patient) { p.Course.Advice.Ready = true },
		"tests":    func(p *flows.Patient) { p.Course.State, p.Course.HoldFrom = chart.Holding, today-8 },
		"review":   func(p *flows.Patient) { p.Course.Seen = today - 84 },
		"recall":   func(p *flows.Patient) { p.Course.State, p.Review = chart.Recall, today+5 },
		"calls":    func(p *flows.Patient) { p.Escalations[0].Reason = flows.WhyMile },
		"routine":  func(p *flows.Patient) { p.Escalations[0].Reason, p.Escalations[0].Quiet = "P10", true },
	} {
		w := newWorld(t)
		p := w.patient
		p.Course.Seen, p.Turned = today, today-30
		p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: flows.WhyMessage, Raised: civil.Wall{Date: today}}}
		if lines, _ := w.digestOf(word, 0, []flows.Patient{p}); lineOf(lines, p.Label) {
			t.Errorf("%s has somebody who does not belong in it", word)
		}
		change(&p)
		lines, rows := w.digestOf(word, 0, []flows.Patient{p})
		w.check(message.Message{Lines: lines, Inline: rows})
		if !lineOf(lines, p.Label) {
			t.Errorf("%s has nobody: %v", word, lines)
		}
	}
	for _, word := range ListWords() {
		if _, known := listingOf(word); !known {
			t.Errorf("no list %s", word)
		}
	}
}

// Two hundred patients fit in pages that the platform takes, in every language,
// each with a line and a button, in well under a second.
func TestDigestPages(t *testing.T) {
	w := newWorld(t)
	words, err := catalogue()
	if err != nil {
		t.Fatal(err)
	}
	var ps []flows.Patient
	for i := range 200 {
		p := w.patient
		p.ID = chart.PatientID(fmt.Sprintf("07ABCDEFGHJKMN%04d", i))
		p.Label = fmt.Sprintf("%s %03d", strings.Repeat("Heron ", 6), i)
		p.Talk.Silent = 3
		p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: "P10", Quiet: true, RaisedAt: w.now.Unix()}}
		ps = append(ps, p)
	}
	seen, page := map[chart.PatientID]bool{}, 0
	for ; ; page++ {
		lines, rows := w.digestOf(digestName, page, ps)
		for _, lang := range words.Languages() {
			text := words.Text(lang, message.Message{Lines: lines})
			if n := len(utf16.Encode([]rune(text))); n > 4096 {
				t.Errorf("page %d in %s has %d signs", page, lang, n)
			}
		}
		more := false
		for _, row := range rows {
			for _, b := range row {
				seen[b.Patient] = true
				more = more || b.Op == opList && b.Arg == fmt.Sprintf("%s.%d", digestName, page+1)
				if len(b.Op) > 8 || len(b.Arg) > 16 || len(b.Nonce) > 8 {
					t.Errorf("%+v", b)
				}
			}
		}
		if !more {
			break
		}
	}
	if delete(seen, ""); len(seen) != 200 {
		t.Errorf("%d of 200 can be opened", len(seen))
	}
}

// The digest goes to each person on duty once a working day, by the practice's own
// line of cron or with the opening, and plans the next.
func TestDigestGoesOut(t *testing.T) {
	w := newWorld(t)
	for d := range w.pr.Hours {
		w.pr.Hours[d] = []practice.Span{{From: 9 * 60, To: 17 * 60}}
	}
	w.pr.Hours[time.Tuesday] = nil
	w.office(flows.Settings{Practice: w.pr})
	monday := civil.Date(w.now.Unix() / 86400)
	if at := w.timers[digestName]; at.At != (civil.Wall{Date: monday + 2, Clock: 9*60 + digestAfter}) || !at.Office {
		t.Errorf("%+v", at)
	}
	w.pr.Staff[1].OffDuty = true
	w.said = map[int64][]message.Message{}
	w.office(flows.Due{Name: digestName})
	if m := w.last(clinician); m.View != message.ViewDigest || len(w.said[clinician]) != 1 || len(w.said[assistant]) != 0 {
		t.Errorf("%+v %+v", w.said[clinician], w.said[assistant])
	}
	w.pr.Staff[0].OffDuty = true
	if w.office(flows.Due{Name: digestName}); len(w.said[assistant]) != 1 {
		t.Error("with nobody on duty nobody gets it")
	}
	w.pr.Digest = "30 7 * * 1-5"
	if w.office(flows.Settings{Practice: w.pr}); w.timers[digestName].Cron != w.pr.Digest {
		t.Errorf("%+v", w.timers[digestName])
	}
	lines, _ := Show(w.pr, practice.Staff{}, message.Message{View: message.ViewDigest, MediaOf: "digest 0 2026-03-02 1"}, flows.Patient{},
		[]flows.Patient{w.patient})
	if lineOf(lines, w.patient.Label) {
		t.Error("a group reads it")
	}
}

// A list is opened by its word, and what is routine in it is closed after one yes.
func TestListsByWord(t *testing.T) {
	w := newWorld(t)
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "silent", List: "silent"})
	if m := w.last(clinician); m.View != message.ViewDigest || readShown(m.MediaOf).word != "silent" {
		t.Fatalf("%+v", m)
	}
	p := w.patient
	p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: flows.WhySilence, Quiet: true, RaisedAt: w.now.Unix()}}
	_, rows := w.digestOf("silent", 0, []flows.Patient{p})
	b := rows[len(rows)-1][0]
	tap := flows.Tap{Chat: clinician, User: clinician, Op: b.Op, Arg: b.Arg, Nonce: b.Nonce}
	w.chat(clinician, tap)
	if len(w.orders) != 0 {
		t.Fatal("closed unasked")
	}
	w.press(clinician, "desk.b.yes")
	if len(w.orders) != 1 || w.orders[0].Op != flows.OrderSweep || w.orders[0].Flag != "silent" || w.orders[0].At != w.now.Unix() {
		t.Errorf("%+v", w.orders)
	}
	tap.Nonce = ""
	w.chat(clinician, tap)
	w.must(clinician, "desk.button")
}

// What came only from missing answers, and was answered since, says so in its line.
func TestToldSinceIsALine(t *testing.T) {
	w := newWorld(t)
	p := w.patient
	p.Course.Advice.Action = chart.Stay
	p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: "P05", Quiet: true}}
	has := func() bool {
		lines, _ := w.digestOf("routine", 0, []flows.Patient{p})
		w.check(message.Message{Lines: lines})
		return slices.ContainsFunc(lines, func(l message.Line) bool { return l.Key == "desk.l.routine.told" })
	}
	if !has() {
		t.Error("the count is sure again, and the line does not say so")
	}
	if p.Course.InDoubt = true; has() {
		t.Error("the count is in doubt")
	}
}
