package desk

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"

	"pgregory.net/rapid"
)

// real lets patients answer for themselves: every event told to one goes
// through the patient's own flow.
func (w *world) real() {
	w.patients = map[chart.PatientID]flows.Patient{}
	w.owner = map[string]chart.PatientID{}
}

func (w *world) tellPatient(id chart.PatientID, b flows.Body) {
	p := w.patients[id]
	p.ID = id
	next, fx := flows.Next(w.pr, p, w.event(b))
	if next.Course.State != chart.NoState {
		w.patients[id] = next
	}
	for _, x := range fx {
		if o, ok := x.(flows.Own); ok && o.Kind == "code" {
			if delete(w.owner, o.Value); !o.Drop {
				w.owner[o.Value] = id
			}
		}
	}
	w.effects(next.Chat, fx)
}

// From the form to a patient who stands confirmed, and orders that come back:
// the desk and the patient's flow understand each other.
func TestSeam(t *testing.T) {
	w := newWorld(t)
	w.real()
	w.paste(clinician, pasted)
	w.press2(clinician, "sign")
	w.pin(clinician, flows.PINRight)
	if len(w.patients) != 1 {
		t.Fatalf("nobody enrolled; heard %v", w.keys(clinician))
	}
	var id chart.PatientID
	for id = range w.patients {
	}
	p := func() flows.Patient { return w.patients[id] }
	w.patient = p()
	if p().Course.State != chart.Invited || p().Label != "Heron 12" || p().Code == "" {
		t.Fatalf("%+v", p())
	}

	code(w, 70, p().Code)
	if c := w.chats[70]; c.Patient != id || p().Chat != 70 || c.Gen != p().Gen {
		t.Fatalf("not bound: %+v; patient chat %d gen %d; heard %v", c, p().Chat, p().Gen, w.keys(70))
	}
	w.said[70] = nil
	for range 3 { // agree, adult: whatever it asks
		w.chat(70, flows.Said{Chat: 70, User: 70, Gen: p().Gen, Text: "yes", Reading: reading.Reading{Word: reading.WordYes,
			Lang: "en"}})
	}
	if p().Consent == "" {
		t.Fatalf("no consent; heard %v", w.keys(70))
	}
	w.patient = p()
	w.card(assistant, opConfirm, "")
	if q := p(); q.Sure != q.Gen {
		t.Fatalf("not confirmed; heard %v", w.keys(assistant))
	}
	started := p().Course.State

	for _, op := range []string{opNote, opContact} {
		w.said[assistant] = nil
		w.card(assistant, op, "1")
		w.say(assistant, "all well")
		if len(w.said[assistant]) < 2 {
			t.Errorf("%s was not answered: %v", op, w.keys(assistant))
		}
	}
	w.card(clinician, opPlan, "")
	w.say(clinician, "interval: 4")
	w.say(clinician, "done")
	w.signs(clinician)
	if q := p(); q.Plan.Rev != 2 || q.Plan.Limits.Interval != 4 || q.Plan.ByName != "Ondine" {
		t.Errorf("plan %+v; heard %v", q.Plan, w.keys(clinician))
	}
	w.card(assistant, opHold, "")
	w.say(assistant, "waits for a screw")
	if !p().Held {
		t.Errorf("not held; heard %v", w.keys(assistant))
	}
	w.card(assistant, opResume, "")
	w.say(assistant, "yes")
	if p().Held {
		t.Error("still held")
	}
	old := p().Code
	w.card(assistant, opRebind, "")
	w.say(assistant, "Heron 12")
	if p().Code == old || p().Code == "" {
		t.Errorf("no new code; heard %v", w.keys(assistant))
	}
	if w.chats[70].Patient != "" {
		t.Error("the old phone still holds")
	}
	code(w, 71, p().Code)
	if w.chats[71].Patient != id || p().Chat != 71 {
		t.Errorf("the new phone does not hold: %+v; heard %v", w.chats[71], w.keys(71))
	}
	w.card(clinician, opEnd, "")
	w.say(clinician, "moved away")
	w.say(clinician, "Heron 12")
	if p().Course.State != chart.Ended {
		t.Errorf("state %v; heard %v", p().Course.State, w.keys(clinician))
	}
	t.Logf("started in %v", started)
}

// A code is used once, and for a quarter of an hour.
func TestSeamCodes(t *testing.T) {
	w := newWorld(t)
	w.real()
	w.paste(clinician, pasted)
	w.press2(clinician, "sign")
	w.pin(clinician, flows.PINRight)
	var p flows.Patient
	for _, p = range w.patients {
	}
	w.now = w.now.Add(16 * time.Minute)
	code(w, 70, p.Code)
	if w.chats[70].Patient != "" {
		t.Error("an old code was taken")
	}
	w.must(70, "desk.code.unknown")
}

// Staff and a patient do anything in any order, through both flows: no panic,
// and every message has its text in every language and buttons that fit.
func TestSeamProperty(t *testing.T) {
	ops := []string{opForm, opCard, opMore}
	for _, a := range acts {
		ops = append(ops, a.op)
	}
	texts := []string{"yes", "no", "back", "skip", "done", "cancel", "4", "0", "5 mm", "2026-03-10", "Heron 12",
		"interval: 4", "ends: 2026-08-01", "ok"}
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(t)
		w.real()
		w.paste(clinician, pasted)
		w.press2(clinician, "sign")
		w.pin(clinician, flows.PINRight)
		var id chart.PatientID
		for id = range w.patients {
		}
		code(w, 70, w.patients[id].Code)
		for range rapid.IntRange(1, 80).Draw(rt, "events") {
			w.patient = w.patients[id]
			w.now = w.now.Add(time.Duration(rapid.IntRange(0, 600).Draw(rt, "minutes")) * time.Minute)
			chat := rapid.SampledFrom([]int64{clinician, clinician, assistant, 70, 70}).Draw(rt, "chat")
			gen := w.chats[chat].Gen
			switch rapid.IntRange(0, 4).Draw(rt, "kind") {
			case 0, 1:
				text := rapid.SampledFrom(texts).Draw(rt, "text")
				r := reading.Reading{Word: words[text]}
				if chat == 70 {
					words, _ := catalogue()
					text = rapid.SampledFrom([]string{"yes", "I agree", "pain 3", "pain 9", "snoring 4", "worn all night",
						"7h, snore 3, sore 2 gone by 9, guide 5 min, bite ok", "it stands at 0", "stop", "resume", "my jaw is locked", "help", "undo", "skip", "3", "how", "today", "call me", "the appliance broke"}).Draw(rt, "says")
					r = words.Read(text)
				}
				w.chat(chat, flows.Said{Chat: chat, User: chat, Gen: gen, Text: text, Reading: r, Sent: w.now,
					Message: int64(w.seed)})
			case 2, 3:
				if chat == 70 {
					p := w.patients[id]
					name := rapid.SampledFrom([]string{"evening", "morning", "recheck", "weekly", "remind.evening", "commit", "mile",
						"planend", "esc.1", "esc.2", "paused", "unused", "zone"}).Draw(rt, "timer")
					w.tellPatient(p.ID, flows.Due{Name: name, Scheduled: w.event(nil).Wall})
					continue
				}
				if op := rapid.SampledFrom(ops).Draw(rt, "op"); op == opForm {
					w.press2(chat, rapid.SampledFrom([]string{"yes", "x", "d", "back", "c0", "3", "l40"}).Draw(rt, "arg"))
				} else {
					w.card(chat, op, rapid.SampledFrom([]string{"", "1", "2"}).Draw(rt, "arg"))
				}
			default:
				if chat == 70 {
					w.chat(70, flows.Other{Chat: 70, User: 70, Gen: gen, Kind: "voice"})
				}
			}
			for _, v := range []message.View{message.ViewCard, message.ViewPlan, message.ViewDiary, message.ViewCourse, message.ViewQueue} {
				l, b := Show(w.pr, ondine, message.Message{View: v}, w.patients[id], []flows.Patient{w.patients[id]})
				w.check(message.Message{Lines: l, Inline: b})
			}
		}
	})
}
