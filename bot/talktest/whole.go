package talktest

import (
	"context"
	"fmt"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// Whole plays a talk through the whole program: a real store, the scheduler,
// the real client library, and the strict stand-in of the platform.
type Whole struct {
	t      *testing.T
	ctx    context.Context
	st     store.Store
	s      *stage.Stage
	people []int64
	seen   map[int64]int   // messages of each chat that were printed
	own    map[int64]int64 // the last text each person sent
	events int
}

func NewWhole(t *testing.T, st store.Store) *Whole {
	return &Whole{t: t, ctx: t.Context(), st: st, seen: map[int64]int{}, own: map[int64]int64{}}
}

func (w *Whole) Must(err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatal(err)
	}
}

func (w *Whole) open(at time.Time, pr practice.Practice) {
	s, err := stage.Open(w.ctx, at, program.Parts{Store: w.st, Free: true})
	w.Must(err)
	w.s = s
	w.owner(flows.Settings{Practice: pr, Actor: flows.Actor{ID: "owner", Role: practice.Owner}})
}

func (w *Whole) Close() {
	if w.s != nil {
		w.s.Close()
	}
	w.Must(w.st.Close())
}

func (w *Whole) now() time.Time { return w.s.Hands.Now() }

func (w *Whole) next() time.Time {
	at, err := w.s.Next(w.ctx)
	w.Must(err)
	return at
}

func (w *Whole) set(at time.Time) { w.Must(w.s.Move(w.ctx, at)) }

func (w *Whole) quiet() {
	w.t.Helper()
	w.Must(w.s.Quiet(w.ctx))
}

func (w *Whole) handle(ref store.Ref, b flows.Body) {
	w.events++
	w.Must(w.s.Runner.Handle(w.ctx, ref, fmt.Sprintf("talk/%d", w.events), b))
	w.quiet()
}

func (w *Whole) owner(b flows.Body) { w.handle(scheduler.PracticeRef(), b) }

func (w *Whole) toPatient(id chart.PatientID, b flows.Body) { w.handle(scheduler.PatientRef(id), b) }

func (w *Whole) staffHash(code string) string { return w.s.Runner.StaffKey(code) }

func (w *Whole) meet(p person) {
	w.people = append(w.people, p.id)
	w.s.Platform.AddUser(standin.User{ID: p.id, Name: p.name, Language: p.lang})
}

func (w *Whole) group(members []person) int64 {
	var ids []int64
	for _, p := range members {
		ids = append(ids, p.id)
	}
	id := w.s.Platform.AddGroup("Quillmere", ids...)
	w.s.Platform.Admin(id)
	w.people = append(w.people, id)
	w.quiet()
	return id
}

func (w *Whole) say(chat, user int64, text string, edited bool) {
	if edited {
		w.Must(w.s.Platform.Edit(chat, user, w.own[user], text))
	} else {
		id, err := w.s.Platform.Post(standin.Post{Chat: chat, From: user, Text: text})
		w.Must(err)
		w.own[user] = id
	}
	w.quiet()
}

func (w *Whole) forward(chat int64, text string) {
	id, err := w.s.Platform.Post(standin.Post{Chat: chat, From: chat, Text: text, Forwarded: true})
	w.Must(err)
	w.own[chat] = id
	w.quiet()
}

func (w *Whole) reply(chat, to int64, text string) {
	id, err := w.s.Platform.Post(standin.Post{Chat: chat, From: chat, Text: text, ReplyTo: to})
	w.Must(err)
	w.own[chat] = id
	w.quiet()
}

func (w *Whole) send(chat int64, kind, caption string) {
	_, err := w.s.Platform.Post(standin.Post{Chat: chat, From: chat, Kind: kind, Text: caption, Data: []byte("talk")})
	w.Must(err)
	w.quiet()
}

func (w *Whole) tap(chat, user int64, m heard, b pressed) {
	_, err := w.s.Platform.ForceTap(chat, user, m.id, b.data)
	w.Must(err)
	w.quiet()
}

func (w *Whole) phones(chat int64, on bool) {
	if on {
		w.s.Platform.Mend()
		w.set(w.now().Add(2 * time.Minute)) // the longest that a try waits for the next
		return
	}
	for _, method := range []string{"sendMessage", "copyMessage"} {
		w.s.Platform.Inject(standin.Fault{Kind: standin.Unreachable, Method: method, Chat: chat, Times: -1})
	}
}

func (w *Whole) block(chat int64, on bool) {
	if on {
		w.Must(w.s.Platform.Block(chat))
	} else {
		w.Must(w.s.Platform.Unblock(chat))
	}
	w.quiet()
}

func (w *Whole) heard() (out []heard) {
	for _, chat := range w.people {
		all := w.s.Platform.Messages(chat)
		for _, m := range all[w.seen[chat]:] {
			if !m.Bot {
				continue
			}
			h := heard{chat: chat, id: m.ID, text: m.Text, keys: m.Keyboard}
			if m.Kind != "text" {
				h.media = m.Kind
			}
			for _, row := range m.Buttons {
				var bs []pressed
				for _, b := range row {
					bs = append(bs, pressed{label: b.Label, data: b.Data})
				}
				h.buttons = append(h.buttons, bs)
			}
			out = append(out, h)
		}
		w.seen[chat] = len(all)
	}
	return out
}

func (w *Whole) Patient(id chart.PatientID) flows.Patient {
	p, err := w.s.Patient(w.ctx, id)
	w.Must(err)
	return p
}
