package flows

import (
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// An invented practice: open on weekdays from 9 to 17, with a clinician and an
// assistant on duty, a clinician off duty, and one person who left.
const (
	chatClin, chatAsst, chatOff, chatGone = 101, 102, 103, 104
	chatPatient, chatOther                = 900, 901
	testCode                              = "07ABCDEFGHJKMN"
)

func lifePractice() practice.Practice {
	pr := practice.Practice{
		Rev: 3, Name: "Ventana Sur", Phone: "555 0100", Emergency: "112", OutOfHours: "555 0199", Zone: "UTC", Lang: "en",
		BotName: "ventana_bot", Langs: []string{"en", "es"},
		Staff: []practice.Staff{
			{ID: "sclin", Label: "Dr A", Role: practice.Clinician, Chat: chatClin, Lang: "en"},
			{ID: "sasst", Label: "B", Role: practice.Assistant, Chat: chatAsst, Lang: "es"},
			{ID: "soff", Label: "Dr C", Role: practice.Clinician, Chat: chatOff, Lang: "en", OffDuty: true},
			{ID: "sgone", Label: "D", Role: practice.Clinician, Chat: chatGone, Lang: "en", Removed: true},
		},
	}
	for d := time.Monday; d <= time.Friday; d++ {
		pr.Hours[d] = []practice.Span{{From: 9 * 60, To: 12 * 60}, {From: 13 * 60, To: 17 * 60}}
	}
	return pr
}

// monday is a working day; the patient was fitted on it.
func monday() civil.Date { return civil.DateOf(2026, time.November, 2) }

func lifeEnrolment() chart.Enrolment {
	return chart.Enrolment{
		Label: "K-17", Lang: "en", Zone: "UTC", Phone: "555 0142", Physician: "Dr F", Adult: true,
		Appliance: chart.Appliance{Mechanism: "side screws", StepWord: "half turn", Step: 250, Forward: "towards the mark", Travel: 24, Guide: true, GuideMin: 5},
		Baseline:  chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual, Start: 4000, Pain: chart.Num(0), Reporter: chart.Num(chart.ReporterPartner), Snoring: chart.Num(8), Drives: chart.Num(chart.No), Sleepy: chart.Num(4), Headache: chart.Num(chart.No), Pauses: chart.Num(chart.No)},
		Plan: chart.Plan{Fitted: monday(), Ends: monday() + 90, Evening: 21 * 60, Morning: 7*60 + 30, Boundary: civil.Noon,
			Fallback: "the mask",
			Limits:   chart.Limits{Ceiling: 6, Settle: 3, Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}},
		Checklist: 1<<chart.NumChecks - 1,
	}
}

// life plays one patient's flow and keeps what the last event ordered.
type life struct {
	t   *testing.T
	pr  practice.Practice
	p   Patient
	now civil.Wall
	out []Effect
	n   byte
}

func newLife(t *testing.T) *life {
	return &life{t: t, pr: lifePractice(), p: Patient{ID: "07TESTTESTTESTTEST"},
		now: civil.Wall{Date: monday(), Clock: 10 * 60}}
}

// on hands an event to the patient; the office is where the patient is.
func (l *life) on(b Body) *life {
	l.t.Helper()
	l.n++
	e := Event{ID: "e", At: time.Unix(int64(l.now.Date)*86400+int64(l.now.Clock)*60, 0).UTC(), Wall: l.now, Office: l.now,
		Body: b}
	for i := range e.Seed {
		e.Seed[i] = l.n*31 + byte(i)*7
	}
	before := l.p
	l.p, l.out = Next(l.pr, l.p, e)
	if before.ID != l.p.ID {
		l.t.Fatalf("the patient's id changed to %q", l.p.ID)
	}
	return l
}

func (l *life) later(minutes int) *life { l.now = l.now.Add(minutes); return l }

func (l *life) say(text string, r reading.Reading) *life {
	l.t.Helper()
	return l.on(Said{Chat: l.p.Chat, Gen: l.p.Gen, Text: text, Reading: r, Wall: l.now})
}

func (l *life) word(w reading.Word) *life {
	l.t.Helper()
	return l.say("word", reading.Reading{Word: w})
}

func (l *life) press(arg string) *life {
	l.t.Helper()
	return l.on(Tap{Chat: l.p.Chat, Gen: l.p.Gen, Op: opPath, Arg: arg, Nonce: l.p.Talk.Nonce})
}

func (l *life) order(who string, o Order) *life {
	l.t.Helper()
	s, _ := l.pr.ByID(who)
	o.Actor = Actor{ID: who, Name: s.Label, Chat: s.Chat, Role: s.Role}
	if o.Chat == 0 {
		o.Chat = s.Chat
	}
	return l.on(o)
}

// enrolled, joined and active bring a patient that far.
func enrolled(t *testing.T) *life {
	t.Helper()
	l := newLife(t)
	return l.on(Enrol{Enrolment: lifeEnrolment(), Actor: Actor{ID: "sclin"}, Code: testCode, Chat: chatClin})
}

func joined(t *testing.T) *life {
	t.Helper()
	return enrolled(t).on(Join{Chat: chatPatient, Code: testCode, Gen: 1})
}

func agreed(t *testing.T) *life {
	t.Helper()
	return joined(t).press("yes").press("yes")
}

func active(t *testing.T) *life {
	t.Helper()
	l := agreed(t).order("sclin", Order{Op: OrderConfirm})
	if l.p.Course.State != chart.Settling {
		t.Fatalf("state %v after the confirmation, want settling", l.p.Course.State)
	}
	return l
}

// heard gives the keys of all lines that went to a chat (0: the patient's).
func (l *life) heard(chat int64) (keys []string) {
	for _, x := range l.out {
		if s, ok := x.(Send); ok && (s.Chat == chat || chat == 0 && s.Chat == l.p.Chat) {
			for _, line := range s.Msg.Lines {
				keys = append(keys, line.Key)
			}
			if s.Msg.View != message.NoView && len(s.Msg.Lines) == 0 {
				keys = append(keys, "view")
			}
		}
	}
	return keys
}

func (l *life) want(chat int64, key string) *life {
	l.t.Helper()
	for _, k := range l.heard(chat) {
		if k == key {
			return l
		}
	}
	l.t.Errorf("chat %d heard %v, want %s", chat, l.heard(chat), key)
	return l
}

func (l *life) wantNot(chat int64, key string) *life {
	l.t.Helper()
	for _, k := range l.heard(chat) {
		if k == key {
			l.t.Errorf("chat %d heard %s", chat, key)
		}
	}
	return l
}

// timer finds a timer that the last event set.
func (l *life) timer(name string) (SetTimer, bool) {
	for _, x := range l.out {
		if s, ok := x.(SetTimer); ok && s.Name == name {
			return s, true
		}
	}
	return SetTimer{}, false
}

func (l *life) logged(what string) bool {
	for _, x := range l.out {
		if g, ok := x.(Log); ok && g.What == what {
			return true
		}
	}
	return false
}

func (l *life) open(reason string) *Escalation {
	for i := range l.p.Escalations {
		if l.p.Escalations[i].Reason == reason {
			return &l.p.Escalations[i]
		}
	}
	return nil
}

func (l *life) must(reason string) *Escalation {
	l.t.Helper()
	esc := l.open(reason)
	if esc == nil {
		l.t.Fatalf("no escalation %q is open among %v", reason, l.p.Escalations)
	}
	return esc
}
