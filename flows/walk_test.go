package flows_test

import (
	"fmt"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/locales"
)

// walk plays one patient through Next with the real words: what is typed is
// read as in the chat, timers fire at their wall time, and every message to the
// patient is kept as text.
type walk struct {
	t      testing.TB
	w      *locales.Words
	pr     practice.Practice
	p      flows.Patient
	now    civil.Wall
	sec    int
	timers map[string]civil.Wall
	heard  []flows.Send // to the patient, since the last look
	text   []string
	staff  []flows.Send
	notes  []flows.Note
	msg    int64
	n      int
	out    []flows.Effect
	work   flows.Work // every event is played in place too: it must come to the same
}

const mon2 = civil.Date(20514) // Monday 2 March 2026, fitting day

func clock(h, m int) civil.Clock { return civil.Clock(h*60 + m) }

// loadWords reads the catalogues once for all walks.
var loadWords = sync.OnceValues(locales.Load)

// start enrols an invented patient, who joins at 15:00 on fitting day.
func start(t testing.TB, change ...func(*flows.Patient)) *walk {
	t.Helper()
	w, err := loadWords()
	if err != nil {
		t.Fatal(err)
	}
	k := &walk{t: t, w: w, now: civil.Wall{Date: mon2, Clock: clock(15, 0)}, timers: map[string]civil.Wall{}}
	k.pr = practice.Practice{Name: "Practice", Phone: "+34 600 000 000", Emergency: "112", Lang: "en",
		Langs: []string{"en", "es"},
		Staff: []practice.Staff{{ID: "s1", Label: "Clinician", Role: practice.Clinician, Chat: 900, Lang: "en"}}}
	for i := range k.pr.Hours {
		k.pr.Hours[i] = []practice.Span{{From: clock(9, 0), To: clock(17, 0)}}
	}
	k.p = flows.Patient{ID: "00AAAA", Label: "K-1", Lang: "en", Chat: 1, Gen: 1, Sure: 1, Consent: "1.en",
		Appliance: chart.Appliance{StepWord: "half turn", Step: 250, Forward: "tool towards the nose", Travel: 20, Guide: true, GuideMin: 5},
		Baseline:  chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual, Start: 4000, Pain: chart.Num(0), Snoring: chart.Num(8), Reporter: chart.Num(chart.ReporterPartner), Sleepy: chart.Num(5), Headache: chart.Num(0), Pauses: chart.Num(0), Drives: chart.Num(0)},
		Plan: chart.Plan{Rev: 1, By: "s1", On: mon2, Fitted: mon2, Evening: clock(21, 30), Morning: clock(7, 0),
			Limits: chart.Limits{Ceiling: 10, Settle: 3, Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}}}
	for _, c := range change {
		c(&k.p)
	}
	k.p.Course.Begin(pacing.Facts{Plan: &k.p.Plan, Appliance: &k.p.Appliance, Baseline: &k.p.Baseline}, mon2)
	k.p.Course.State = chart.Paused // "go on" sets the timers, as the practice's word does
	k.p.Course.Pausing = true
	k.say("go on")
	if len(k.timers) == 0 {
		t.Fatal("no timers were set")
	}
	return k
}

func (k *walk) at() time.Time {
	return k.now.Date.Time().Add(time.Duration(k.now.Clock)*time.Minute + time.Duration(k.sec)*time.Second)
}

func (k *walk) event(body flows.Body) {
	k.t.Helper()
	k.n++
	e := flows.Event{ID: fmt.Sprint(k.n), At: k.at(), Wall: k.now, Office: k.now,
		Seed: [16]byte{byte(k.n), byte(k.n >> 8)}, Body: body}
	q := k.p.Twin()
	inPlace := k.work.Next(&k.pr, &q, &e).Effects()
	p, out := flows.Next(k.pr, k.p, e)
	if !reflect.DeepEqual(p, q) || !reflect.DeepEqual(out, inPlace) {
		k.t.Fatalf("%s %s: in place %T gives\n%+v\n%+v\nby value\n%+v\n%+v", k.now.Date, k.now.Clock, body, q, inPlace, p,
			out)
	}
	k.p, k.out = p, out
	if l, ok := untold(out, k.p.Chat); ok { // what is said to be told is told
		k.t.Errorf("%s %s: %s, and nobody was told: %+v", k.now.Date, k.now.Clock, l.Key, body)
	}
	for _, x := range out {
		switch x := x.(type) {
		case flows.SetTimer:
			if x.Office || x.Cron != "" {
				continue
			}
			at := x.At
			if x.After > 0 {
				at = k.now.Add(x.After)
			}
			k.timers[x.Name] = at
		case flows.ClearTimer:
			delete(k.timers, x.Name)
		case flows.Send:
			if x.Chat == 0 || x.Chat == k.p.Chat {
				for _, l := range echoes(x.Msg.Lines) { // nothing is said to be saved that is not
					if f, v, ok := echoed(l); ok && !k.kept(f, v) {
						k.t.Errorf("%s %s: %s says that %v %v was saved, and it is kept nowhere: %s", k.now.Date, k.now.Clock, l.Key, f, v, fmt.Sprintf("%+v", body))
					}
				}
				k.msg++
				k.heard = append(k.heard, x)
				k.text = append(k.text, k.w.Text("en", x.Msg))
			} else {
				k.staff = append(k.staff, x)
			}
		case flows.Note:
			k.notes = append(k.notes, x)
		}
	}
}

// say types a text some seconds after what came before.
func (k *walk) say(text string, change ...func(*flows.Said)) []string {
	k.t.Helper()
	k.sec += 5
	return k.saidAt(text, change...)
}

func (k *walk) saidAt(text string, change ...func(*flows.Said)) []string {
	k.t.Helper()
	k.heard, k.text = nil, nil
	k.msg++
	s := flows.Said{Chat: 1, Gen: 1, Reading: k.w.Read(text), Text: text, Sent: k.at(), Wall: k.now, Message: k.msg}
	for _, c := range change {
		c(&s)
	}
	k.event(s)
	if len(k.heard) == 0 {
		k.t.Fatalf("%q got no answer", text)
	}
	return k.text
}

// to moves the clock on and fires what comes due.
func (k *walk) to(d civil.Date, h, m int) []string {
	k.t.Helper()
	end := civil.Wall{Date: d, Clock: clock(h, m)}
	k.heard, k.text = nil, nil
	for {
		name, at := "", end
		for n, w := range k.timers {
			if !at.Before(w) && (name == "" || w.Before(at) || w == at && n < name) {
				name, at = n, w
			}
		}
		if name == "" {
			break
		}
		delete(k.timers, name)
		if k.now.Before(at) {
			k.now, k.sec = at, 0
		}
		k.event(flows.Due{Name: name, Scheduled: at})
	}
	k.now, k.sec = end, 0
	return k.text
}

// hears fails unless the last answer holds all of the parts.
func (k *walk) hears(parts ...string) {
	k.t.Helper()
	all := strings.Join(k.text, "\n")
	for _, p := range parts {
		if !strings.Contains(all, p) {
			k.t.Errorf("%s %s: no %q in:\n%s", k.now.Date, k.now.Clock, p, all)
		}
	}
}

func (k *walk) hearsNot(parts ...string) {
	k.t.Helper()
	all := strings.Join(k.text, "\n")
	for _, p := range parts {
		if strings.Contains(all, p) {
			k.t.Errorf("%s %s: %q in:\n%s", k.now.Date, k.now.Clock, p, all)
		}
	}
}

// buttons are the labels under the newest message.
func (k *walk) buttons() []string {
	var out []string
	for _, row := range k.heard[len(k.heard)-1].Msg.Choices {
		for _, c := range row {
			out = append(out, k.w.Label("en", c))
		}
	}
	return out
}

// night is an entry as it stands.
func (k *walk) night(d civil.Date) chart.Entry {
	e, _ := k.p.Course.Entry(d)
	return e
}

func (k *walk) is(d civil.Date, f chart.Field, v chart.Answer) {
	k.t.Helper()
	if got := k.night(d).V[f]; got != v {
		k.t.Errorf("%s: field %d of %s is %d, want %d", k.now.Clock, f, d, got, v)
	}
}
