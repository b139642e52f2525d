package desk

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
	"duskdawn/store"

	"pgregory.net/rapid"
)

// Any events in any order: no panic, arguments untouched, buttons that fit,
// and never an order that its actor's role does not allow.
func TestNextProperty(t *testing.T) {
	ops := []string{opForm, opMenu, opLang, opDraft, opCard, opDiary, opCourse, opShowPlan, opOutcomes, opEstimate, opWhy, opMore, "?"}
	for _, a := range acts {
		ops = append(ops, a.op)
	}
	texts := []string{"yes", "no", "back", "skip", "done", "cancel", "enrol", "blank", "find", "hold everything", "resume",
		"queue", "patients", "4", "5 mm", "60 %", "2026-03-10", "Heron 12", "interval: 4", "ceiling: 9",
		"label: A\nstep-mm: 0.25\nzone: UTC", "0.25", "partner", "21:40", "all", "", "🙂", "/start", strings.Repeat("x", 5000)}
	args := []string{"", "1", "x", "yes", "no", "d", "again", "back", "skip", "rest", "sign", "done", "l40", "l41", "z0",
		"o1", "c0", "all", "hold", "p1", "tos1", "en", "-1", "99999999999999"}
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(t)
		w.pr.Group = group
		first, second := flagIDs()
		w.patient.Course.Flags = []redflag.Flag{{ID: first, Resume: 2}, {ID: second}}
		who := rapid.SampledFrom([]int64{clinician, assistant, 9, group, -9})
		for range rapid.IntRange(1, 60).Draw(rt, "events") {
			chat := who.Draw(rt, "chat")
			user := chat
			if chat < 0 {
				user = rapid.SampledFrom([]int64{clinician, assistant, 9}).Draw(rt, "user")
			}
			w.now = w.now.Add(time.Duration(rapid.IntRange(0, 90).Draw(rt, "minutes")) * time.Minute)
			var b flows.Body
			switch rapid.IntRange(0, 9).Draw(rt, "kind") {
			case 0, 1, 2, 3:
				text := rapid.SampledFrom(texts).Draw(rt, "text")
				s := flows.Said{Chat: chat, User: user, Text: text, Reading: reading.Reading{Word: words[text]},
					Zones: []string{"UTC", "Asia/Tokyo"}[:rapid.IntRange(0, 2).Draw(rt, "zones")]}
				b = s
			case 4, 5, 6, 7:
				p := flows.Tap{Chat: chat, User: user, Op: rapid.SampledFrom(ops).Draw(rt, "op"),
					Arg: rapid.SampledFrom(args).Draw(rt, "arg"), Nonce: w.chats[chat].Form.Nonce, Patient: w.patient.ID}
				b = p
			case 8:
				b = rapid.SampledFrom([]flows.Body{flows.Other{Chat: chat, User: user}, flows.NoSuchCode{},
					flows.StaffBound{Staff: "s1", Role: practice.Clinician}, flows.LabelTaken{Label: "A"}, flows.Brief{},
					flows.Draft{}, flows.Bounce{Chat: chat},
					flows.Bound{Refused: true}, flows.Due{}, nil}).Draw(rt, "body")
			default:
				w.office(rapid.SampledFrom([]flows.Body{flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s2"}},
					flows.Restored{}, flows.GroupMoved{From: group, To: -501}, flows.Due{Name: "rota.000.on"},
					flows.Manage{Op: flows.ManageHold, Actor: flows.Actor{ID: "s1"}}, nil}).Draw(rt, "office"))
				continue
			}
			c := w.chats[chat]
			c.ID = chat
			w.chats[chat] = c
			pr := w.pr
			before, shared := dump(c), dump(pr)
			Next(pr, c, w.event(b))
			if dump(c) != before || dump(pr) != shared {
				rt.Fatalf("%T changed its arguments", b)
			}
			w.chat(chat, b)
			stored, err := store.Encode(w.chats[chat])
			var back Chat
			if err == nil {
				err = store.Decode(stored, &back)
			}
			if err != nil || dump(back) != dump(w.chats[chat]) {
				rt.Fatalf("stored form: %v\n%s\n%s", err, dump(back), dump(w.chats[chat]))
			}
			if len(stored) > store.MaxBody {
				rt.Fatalf("a chat takes %d bytes", len(stored))
			}
			for _, o := range w.orders {
				s, ok := w.pr.ByID(o.Actor.ID)
				i := 0
				for i < len(acts) && acts[i].order != o.Op {
					i++
				}
				if !ok || i == len(acts) || o.Actor.Role < acts[i].role || s.Role != o.Actor.Role {
					rt.Fatalf("order %+v", o)
				}
				if o.Plan != nil && enrol.Refused(enrol.Check(chart.Enrolment{Label: "x", Adult: true, Lang: "en", Zone: "UTC",
					Phone: "123", Appliance: w.patient.Appliance, Baseline: w.patient.Baseline, Plan: *o.Plan, Checklist: w.patient.Checklist})) {
					rt.Fatalf("a plan outside its bounds: %+v", o.Plan)
				}
			}
			for _, e := range w.enrols {
				if enrol.Refused(enrol.Check(e.Enrolment)) || e.Actor.Role != practice.Clinician {
					rt.Fatalf("enrolled %+v", e)
				}
			}
			w.orders, w.enrols = nil, nil
		}
	})
}

// dump writes a value with what its pointers point to.
func dump(v any) string {
	b, err := json.Marshal(v)
	return fmt.Sprint(strings.ReplaceAll(string(b), "[]", "null"), err)
}
