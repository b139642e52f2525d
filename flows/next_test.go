package flows

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// clonePatient copies a patient with everything it points to.
func clonePatient(p Patient) Patient {
	p.Appliance.Labels = slices.Clone(p.Appliance.Labels)
	p.Baseline.Scores = slices.Clone(p.Baseline.Scores)
	p.Course.Flags = slices.Clone(p.Course.Flags)
	p.Escalations = slices.Clone(p.Escalations)
	p.Tests = slices.Clone(p.Tests)
	return p
}

// anyReading draws what a text may say.
func anyReading(t *rapid.T) reading.Reading {
	r := reading.Reading{Word: reading.Word(rapid.IntRange(0, int(reading.WordHello)).Draw(t, "word")),
		Rest: rapid.Bool().Draw(t, "rest"), Symbols: rapid.Bool().Draw(t, "symbols")}
	if rapid.IntRange(0, 2).Draw(t, "words") > 0 {
		r.Word = reading.NoWord
	}
	r.Topic = reading.Topic(rapid.IntRange(0, int(reading.NumTopics)+1).Draw(t, "topic"))
	for range rapid.IntRange(0, 3).Draw(t, "tokens") {
		r.Tokens = append(r.Tokens, reading.Token{Field: chart.Field(rapid.IntRange(0, int(chart.NumFields)+1).Draw(t,
			"field")), Value: chart.Answer(rapid.Int16().Draw(t, "value"))})
	}
	if rapid.IntRange(0, 4).Draw(t, "flags") == 0 {
		for range rapid.IntRange(1, 3).Draw(t, "n") {
			r.Features |= 1 << rapid.IntRange(0, 36).Draw(t, "feature")
		}
	}
	r.Bare = chart.Answer(rapid.IntRange(0, 13).Draw(t, "bare"))
	r.Lang = rapid.SampledFrom([]string{"", "en", "es", "xx"}).Draw(t, "lang")
	return r
}

// anyBody draws an event for a patient as it stands.
func anyBody(t *rapid.T, p *Patient, timers []string) Body {
	chat := rapid.SampledFrom([]int64{p.Chat, p.Chat, p.Chat, p.Chat, chatPatient, chatOther, 0}).Draw(t, "chat")
	gen := p.Gen - int32(rapid.SampledFrom([]int{0, 0, 0, 0, 1}).Draw(t, "old"))
	staff := rapid.SampledFrom([]string{"sclin", "sclin", "sclin", "sasst", "soff", "sgone", "nobody", "owner"}).Draw(t,
		"staff")
	switch rapid.IntRange(0, 11).Draw(t, "kind") {
	case 0, 1, 2:
		return Said{Chat: chat, Gen: gen, Reading: anyReading(t), Text: rapid.StringN(0, 30, -1).Draw(t, "text"),
			Edited: rapid.Bool().Draw(t, "edited")}
	case 3:
		return Tap{Chat: chat, Gen: gen, Op: rapid.SampledFrom([]string{opPath, opPath, opPath, opLang, opBack, opWho, "",
			"x"}).Draw(t, "op"),
			Arg:   rapid.SampledFrom([]string{"yes", "yes", "no", "1", "2", "3", "es", "notme", ""}).Draw(t, "arg"),
			Nonce: rapid.SampledFrom([]string{p.Talk.Nonce, p.Talk.Nonce, "", "ZZ"}).Draw(t, "nonce")}
	case 4:
		return Other{Chat: chat, Gen: gen, Kind: "voice"}
	case 5:
		return Enrol{Enrolment: lifeEnrolment(), Actor: Actor{ID: staff}, Code: testCode, Chat: chatClin}
	case 6:
		return Join{Chat: chat, Code: rapid.SampledFrom([]string{p.Code, p.Code, testCode, "", "07X"}).Draw(t, "code"),
			Gen: gen + 1}
	case 7, 8:
		names := append([]string{"evening", "morning", "weekly", "commit", "recheck", "mile", "planend", "zone", "unused",
			"paused", "ring.x", "", "?"}, timers...)
		return Due{Name: rapid.SampledFrom(names).Draw(t, "timer"), Late: int32(rapid.IntRange(0, 600).Draw(t, "late"))}
	case 9:
		o := Order{Actor: Actor{ID: staff, Role: practice.Clinician},
			Op:  OrderOp(rapid.IntRange(0, len(orders)).Draw(t, "op")),
			Esc: int32(rapid.IntRange(-1, int(p.EscCount)+1).Draw(t, "esc")),
			To:  chart.Steps(rapid.IntRange(-3, 9).Draw(t, "to")), Has: rapid.Bool().Draw(t, "has"),
			Text: rapid.SampledFrom([]string{"", "words"}).Draw(t, "text"), Chat: chatClin,
			Code: rapid.SampledFrom([]string{"", "07NEWNEWNEWNEW"}).Draw(t, "code"),
			Zone: rapid.SampledFrom([]string{"", "America/Lima"}).Draw(t, "zone"), Base: p.Plan.Rev,
			Until: monday() + civil.Date(rapid.IntRange(-5, 200).Draw(t, "until"))}
		if rapid.Bool().Draw(t, "more") {
			plan := p.Plan
			plan.Limits.Ceiling = chart.Steps(rapid.IntRange(0, 12).Draw(t, "ceiling"))
			o.Plan = &plan
			o.Test = &chart.SleepTest{On: monday(), Kind: "k", Rule: "1A", AHI10: chart.Num(50), By: "x",
				InPlace: rapid.Bool().Draw(t, "inplace"), Setting: o.To}
			o.Entry = &chart.Entry{Night: monday() + civil.Date(rapid.IntRange(-2, 40).Draw(t, "night"))}
			o.Entry.V[rapid.IntRange(0, int(chart.NumFields)-1).Draw(t, "f")] = chart.Num(rapid.IntRange(0, 10).Draw(t, "v"))
		}
		return o
	case 10:
		return rapid.SampledFrom([]Body{Bounce{Chat: p.Chat}, Reached{Chat: p.Chat}, Bounce{Chat: chatOther}, Gap{Minutes: 3},
			Gap{Minutes: 2000}, Missed{Key: "prompt"}, Restored{Epoch: 1}}).Draw(t, "rare")
	}
	return rapid.SampledFrom([]Body{nil, NoSuchCode{}, StaffBound{}, Brief{}, Manage{}, LabelTaken{}}).Draw(t, "foreign")
}

// TestNextHoldsWhateverHappens drives a patient through random events and keeps
// to what must always be true.
func TestNextHoldsWhateverHappens(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pr := lifePractice()
		p := Patient{ID: "07TESTTESTTESTTEST"}
		now := civil.Wall{Date: monday(), Clock: 10 * 60}
		timers := []string{}
		n := byte(0)
		step := func(p Patient, body Body) (Patient, []Effect) {
			n++
			e := Event{At: time.Unix(int64(now.Date)*86400+int64(now.Clock)*60, 0), Wall: now, Office: now, Body: body}
			e.Seed[0], e.Seed[12] = n, n
			return Next(pr, p, e)
		}
		for _, b := range []Body{ // most runs begin with an active patient
			Enrol{Enrolment: lifeEnrolment(), Actor: Actor{ID: "sclin"}, Code: testCode, Chat: chatClin},
			Join{Chat: chatPatient, Code: testCode, Gen: 1}} {
			p, _ = step(p, b)
		}
		if rapid.IntRange(0, 4).Draw(t, "way in") > 0 {
			for range 2 {
				p, _ = step(p, Tap{Chat: chatPatient, Gen: p.Gen, Op: opPath, Arg: "yes", Nonce: p.Talk.Nonce})
			}
			p, _ = step(p, Order{Actor: Actor{ID: "sclin"}, Op: OrderConfirm})
		}
		for range rapid.IntRange(1, 40).Draw(t, "events") {
			now = now.Add(rapid.SampledFrom([]int{0, 1, 60, 600, 1440}).Draw(t, "minutes"))
			if rapid.IntRange(0, 30).Draw(t, "restore") == 0 {
				pr.Epoch++
				pr.Released = pr.Epoch
			}
			pr.Held = rapid.IntRange(0, 9).Draw(t, "held") == 0
			body := anyBody(t, &p, timers)
			before, copied := clonePatient(p), clonePatient(p)
			prBefore := pr
			prBefore.Staff = slices.Clone(pr.Staff)
			next, out := step(p, body)
			if !reflect.DeepEqual(p, copied) {
				t.Fatalf("%T changed its argument", body)
			}
			if !reflect.DeepEqual(pr, prBefore) {
				t.Fatalf("%T changed the practice", body)
			}
			p = next
			for _, x := range out {
				if s, ok := x.(SetTimer); ok {
					timers = append(timers, s.Name)
				}
			}
			holds(t, &before, &p, body, out)
			wayOut(t, &p, step)
		}
	})
}

// holds checks one step.
func holds(t *rapid.T, before, after *Patient, body Body, out []Effect) {
	var chat int64
	var gen int32
	talk := true
	switch b := body.(type) {
	case Said:
		chat, gen = b.Chat, b.Gen
	case Tap:
		chat, gen = b.Chat, b.Gen
	case Other:
		chat, gen = b.Chat, b.Gen
	default:
		talk = false
	}
	bound := before.Chat != 0 && chat == before.Chat && gen == before.Gen
	if talk && !bound && !reflect.DeepEqual(*before, *after) {
		t.Fatalf("%+v of a chat that is not bound changed something", body)
	}
	answered, soft := false, false
	for _, x := range out {
		if s, ok := x.(Send); ok && (s.Chat == 0 || s.Chat == before.Chat) {
			answered = true
			soft = soft || s.Lane != LaneUrgent
			if len(s.Msg.Choices) > 0 && len(s.Msg.Inline) > 0 {
				t.Fatal("a message has two keyboards")
			}
		}
	}
	if talk && bound && !answered {
		t.Fatalf("%+v in state %v got no answer", body, before.Course.State)
	}
	emergency := false
	for _, esc := range after.Escalations {
		if esc.Class == redflag.ClassE && esc.Told != "" && (esc.N > before.EscCount) {
			emergency = true
		}
	}
	if emergency && soft && talk {
		t.Fatalf("%+v: more than the emergency line was sent", body)
	}
	if _, ordered := body.(Order); ordered {
		return
	}
	for _, was := range before.Escalations { // nothing but a person closes an E or S
		if !was.Class.Worse(redflag.ClassN) {
			continue
		}
		i := slices.IndexFunc(after.Escalations, func(esc Escalation) bool { return esc.N == was.N })
		if i < 0 || after.Escalations[i].Reason != was.Reason || was.Class.Worse(after.Escalations[i].Class) {
			t.Fatalf("%+v took back %+v", body, was)
		}
	}
	for _, f := range after.Course.Flags { // and every such flag is in front of a person
		if f.Class.Worse(redflag.ClassN) && !slices.ContainsFunc(after.Escalations,
			func(esc Escalation) bool { return esc.N == f.Esc || esc.Reason == f.ID }) {
			t.Fatalf("%+v: nobody sees the flag %+v", body, f)
		}
	}
}

// wayOut checks that a person can move a patient out of every state.
func wayOut(t *rapid.T, p *Patient, step func(Patient, Body) (Patient, []Effect)) {
	try := func(o Order) chart.State {
		o.Actor = Actor{ID: "sclin"}
		q, _ := step(clonePatient(*p), o)
		return q.Course.State
	}
	var out chart.State
	switch s := p.Course.State; s {
	case chart.NoState:
		return
	case chart.Invited:
		q, _ := step(clonePatient(*p), Order{Actor: Actor{ID: "sclin"}, Op: OrderRebind, Code: "07WAYOUTWAYOUT"})
		if q.Code != "07WAYOUTWAYOUT" {
			t.Fatal("an invited patient cannot get a new code")
		}
		return
	case chart.Consented:
		out = try(Order{Op: OrderConfirm})
	case chart.Stopped:
		out = try(Order{Op: OrderRelease})
	case chart.Paused, chart.Ended:
		out = try(Order{Op: OrderReopen})
	default:
		out = try(Order{Op: OrderEnd, Text: "x"})
	}
	if out == p.Course.State {
		t.Fatalf("no way out of %v", out)
	}
}
