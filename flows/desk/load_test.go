package desk

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// The words of a day are shown two hours after the first of them, the last time an
// hour before the day ends; what comes while the office is closed the digest shows.
func TestRoundsOfWords(t *testing.T) {
	w := newWorld(t)
	for d := range w.pr.Hours {
		w.pr.Hours[d] = []practice.Span{{From: 9 * 60, To: 12 * 60}, {From: 13 * 60, To: 17 * 60}}
	}
	w.office(flows.Settings{Practice: w.pr})
	day := civil.Date(w.now.Unix() / 86400)
	midnight := day.Time()
	for _, x := range []struct {
		at, round int // minutes of the day; 0: none is planned
	}{{9*60 + 10, 11*60 + 10}, {10 * 60, 11*60 + 10}, {12*60 + 30, 14*60 + 30}, {15*60 + 30, 16 * 60}, {16 * 60, 0}, {20 * 60, 0}, {7 * 60, 0}} {
		if x.at != 10*60 {
			w.pr.Round = 0
		}
		w.now = midnight.Add(time.Duration(x.at) * time.Minute)
		delete(w.timers, roundName)
		w.office(flows.Manage{Op: flows.ManageWords})
		at, set := w.timers[roundName]
		if x.at == 10*60 { // planned already
			set, at.At.Date, at.At.Clock = !set, day, civil.Clock(x.round)
		}
		if set != (x.round != 0) || set && at.At != (civil.Wall{Date: day, Clock: civil.Clock(x.round)}) {
			t.Errorf("at %d: %v %+v", x.at, set, at)
		}
	}
	w.said = map[int64][]message.Message{}
	w.office(flows.Due{Name: roundName})
	if m := w.last(assistant); m.View != message.ViewDigest || readShown(m.MediaOf).word != wordsList || len(w.said[clinician]) != 0 {
		t.Errorf("%+v %+v", m, w.said[clinician])
	}
	w.pr.Staff[1].OffDuty = true
	if w.office(flows.Due{Name: roundName}); len(w.said[clinician]) != 1 {
		t.Error("with no assistant on duty nobody reads them")
	}
	// where the digest has an hour of its own, the night's words have a list
	w.pr.Digest, w.pr.Round = "30 7 * * 1", 0
	w.now = midnight.Add(20 * time.Hour)
	delete(w.timers, roundName)
	w.office(flows.Manage{Op: flows.ManageWords})
	if at := w.timers[roundName]; at.At != (civil.Wall{Date: day + 1, Clock: 9*60 + digestAfter}) {
		t.Errorf("%+v", at)
	}
}

// The list of words quotes them, the oldest first, and its button closes those that
// stand on the page and no others.
func TestWordsAreClosedAsRead(t *testing.T) {
	w := newWorld(t)
	var ps []flows.Patient
	for i := range 20 {
		p := w.patient
		p.ID, p.Label = chart.PatientID(fmt.Sprintf("07ABCDEFGHJKMN%04d", i)), fmt.Sprintf("Heron %02d", 99-i)
		p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: flows.WhyMessage, Quiet: true, Quote: fmt.Sprintf("words %d", i),
			RaisedAt: w.now.Unix() - 1000, GrewAt: w.now.Unix() - 900 + int64(i)}}
		ps = append(ps, p)
	}
	if pages := pagesOf([]paged{{lines: pageLines - 1}, {lines: 1}, {lines: 1}}); len(pages) != 2 || len(pages[0]) != 2 {
		t.Errorf("%d pages", len(pages))
	}
	lines, rows := w.digestOf(wordsList, 0, ps)
	w.check(message.Message{Lines: lines, Inline: rows})
	var quoted []string
	for _, l := range lines {
		for _, a := range l.Args {
			if a.Name == "text" {
				quoted = append(quoted, a.S)
			}
		}
	}
	if len(quoted) != pageLines/2 || quoted[0] != "words 0" {
		t.Fatalf("%v", quoted)
	}
	for _, row := range rows {
		for _, b := range row {
			if b.Op == opSweep && b.Nonce != nonceOf(w.now.Unix()-900+int64(len(quoted)-1)) {
				t.Errorf("%+v", b)
			}
		}
	}
	if n := closable(wordsList, ps, w.now.Unix()-900+int64(len(quoted)-1)); n != len(quoted) {
		t.Errorf("%d close", n)
	}
}

func nonceOf(at int64) string {
	const digits = "0123456789abcdefghijklmnopqrstuvwxyz"
	var out []byte
	for ; at > 0; at /= 36 {
		out = append([]byte{digits[at%36]}, out...)
	}
	return string(out)
}

// The silent are in parts: a week, three nights, two.
func TestSilentInParts(t *testing.T) {
	w := newWorld(t)
	var ps []flows.Patient
	for i, n := range []int16{2, 9, 3, 7, 2, 5} {
		p := w.patient
		p.ID, p.Label, p.Talk.Silent = chart.PatientID(fmt.Sprintf("07ABCDEFGHJKMN%04d", i)), fmt.Sprintf("P%d", i), n
		ps = append(ps, p)
	}
	lines, _ := w.digestOf("silent", 0, ps)
	w.check(message.Message{Lines: lines})
	var got []string
	for _, l := range lines[2:] {
		if l.Key == "desk.part.silent" {
			got = append(got, fmt.Sprint(l.Args[0].N, "x", l.Args[1].N))
		} else {
			got = append(got, l.Args[1].S)
		}
	}
	if want := "7x2 P1 P3 3x2 P2 P5 2x2 P0 P4"; strings.Join(got, " ") != want {
		t.Errorf("%v, want %s", got, want)
	}
}

// The load is by person and reason, for the days that are asked about; the week's
// first digest tells each reader of the last, the others do not.
func TestLoad(t *testing.T) {
	w := newWorld(t)
	for d := time.Monday; d <= time.Friday; d++ {
		w.pr.Hours[d] = []practice.Span{{From: 9 * 60, To: 17 * 60}}
	}
	monday := civil.DateOf(2026, time.March, 9)
	p, q := w.patient, w.patient
	q.ID = "07ABCDEFGHJKMN0002"
	me, other := w.pr.Staff[0].ID, w.pr.Staff[1].ID
	p.Carded = []flows.Carded{{Day: monday - 7, Who: me, Reason: flows.WhyCall, N: 2}, {Day: monday - 1, Who: me, Reason: "P16", N: 3},
		{Day: monday - 8, Who: me, Reason: "P16", N: 50}, {Day: monday, Who: me, Reason: "P16", N: 50}}
	q.Carded = []flows.Carded{{Day: monday - 3, Who: me, Reason: flows.WhyCall, N: 4}, {Day: monday - 3, Who: me, Reason: "breath", N: 6, Urgent: true},
		{Day: monday - 3, Who: other, Reason: flows.WhyCall, N: 1}, {Day: monday - 3, Who: "sgone", Reason: flows.WhyCall, N: 70}}
	ps := []flows.Patient{p, q}
	ds := Duties(&w.pr, ps, monday-7, monday-1)
	if d := ds[0]; d.Cards != 9 || d.Urgent != 6 || d.Days != 5 || d.Tenths() != 18 || len(d.Reasons) != 2 ||
		d.Reasons[0] != (Count{flows.WhyCall, "desk.reason.call", 6}) || ds[1].Cards != 1 {
		t.Errorf("%+v", ds)
	}
	show := func(word string, day civil.Date) []message.Line {
		lines, rows := Show(w.pr, w.pr.Staff[0], message.Message{View: message.ViewDigest, MediaOf: shownAt{word, 0, day, 1}.String()},
			flows.Patient{}, ps)
		w.check(message.Message{Lines: lines, Inline: rows})
		return lines
	}
	for day, told := range map[civil.Date]bool{monday: true, monday + 1: false, monday + 4: false} {
		if got := strings.Contains(keysOf(show(digestName, day)), "desk.load.you"); got != told {
			t.Errorf("on %v: %v", day, got)
		}
	}
	w.pr.Holidays = []civil.Date{monday}
	if !strings.Contains(keysOf(show(digestName, monday+1)), "desk.load.you") {
		t.Error("after a holiday nobody is told")
	}
	if keys := keysOf(show(loadWord, monday)); !strings.Contains(keys, "desk.load.who") || !strings.Contains(keys, "desk.load.reason") {
		t.Errorf("%v", keys)
	}
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "load", List: loadWord})
	if m := w.last(clinician); readShown(m.MediaOf).word != loadWord {
		t.Errorf("%+v", m)
	}
}
