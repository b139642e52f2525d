package main

import (
	"context"
	"fmt"
	"hash/fnv"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
	"duskdawn/store/redis"
	"duskdawn/store/sqlite"
)

// whole plays a talk through the whole program: a real store, the scheduler,
// the real client library, and the strict stand-in of the platform.
type whole struct {
	t      *testing.T
	ctx    context.Context
	st     store.Store
	s      *stage
	people []int64
	seen   map[int64]int   // messages of each chat that were printed
	own    map[int64]int64 // the last text each person sent
	events int
}

func newWhole(t *testing.T, st store.Store) *whole {
	return &whole{t: t, ctx: t.Context(), st: st, seen: map[int64]int{}, own: map[int64]int64{}}
}

func (w *whole) must(err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatal(err)
	}
}

func (w *whole) open(at time.Time, pr practice.Practice) {
	s, err := openStage(w.ctx, at, parts{store: w.st, free: true})
	w.must(err)
	w.s = s
	w.owner(flows.Settings{Practice: pr, Actor: flows.Actor{ID: "owner", Role: practice.Owner}})
}

func (w *whole) close() {
	if w.s != nil {
		w.s.close()
	}
	w.must(w.st.Close())
}

func (w *whole) now() time.Time { return w.s.hands.Now() }

func (w *whole) next() time.Time {
	at, err := w.s.next(w.ctx)
	w.must(err)
	return at
}

func (w *whole) set(at time.Time) { w.must(w.s.move(w.ctx, at)) }

func (w *whole) quiet() {
	w.t.Helper()
	w.must(w.s.quiet(w.ctx))
}

func (w *whole) handle(ref store.Ref, b flows.Body) {
	w.events++
	w.must(w.s.runner.Handle(w.ctx, ref, fmt.Sprintf("talk/%d", w.events), b))
	w.quiet()
}

func (w *whole) owner(b flows.Body) { w.handle(scheduler.PracticeRef(), b) }

func (w *whole) toPatient(id chart.PatientID, b flows.Body) { w.handle(scheduler.PatientRef(id), b) }

func (w *whole) staffHash(code string) string { return w.s.runner.StaffKey(code) }

func (w *whole) meet(p person) {
	w.people = append(w.people, p.id)
	w.s.platform.AddUser(standin.User{ID: p.id, Name: p.name, Language: p.lang})
}

func (w *whole) group(members []person) int64 {
	var ids []int64
	for _, p := range members {
		ids = append(ids, p.id)
	}
	id := w.s.platform.AddGroup("Quillmere", ids...)
	w.s.platform.Admin(id)
	w.people = append(w.people, id)
	w.quiet()
	return id
}

func (w *whole) say(chat, user int64, text string, edited bool) {
	if edited {
		w.must(w.s.platform.Edit(chat, user, w.own[user], text))
	} else {
		id, err := w.s.platform.Post(standin.Post{Chat: chat, From: user, Text: text})
		w.must(err)
		w.own[user] = id
	}
	w.quiet()
}

func (w *whole) send(chat int64, kind string) {
	_, err := w.s.platform.Post(standin.Post{Chat: chat, From: chat, Kind: kind, Data: []byte("talk")})
	w.must(err)
	w.quiet()
}

func (w *whole) tap(chat, user int64, m heard, b pressed) {
	_, err := w.s.platform.ForceTap(chat, user, m.id, b.data)
	w.must(err)
	w.quiet()
}

func (w *whole) phones(chat int64, on bool) {
	if on {
		w.s.platform.Mend()
		w.set(w.now().Add(2 * time.Minute)) // the longest that a try waits for the next
		return
	}
	w.s.platform.Inject(standin.Fault{Kind: standin.Unreachable, Method: "sendMessage", Chat: chat, Times: -1})
}

func (w *whole) block(chat int64, on bool) {
	if on {
		w.must(w.s.platform.Block(chat))
	} else {
		w.must(w.s.platform.Unblock(chat))
	}
	w.quiet()
}

func (w *whole) heard() (out []heard) {
	for _, chat := range w.people {
		all := w.s.platform.Messages(chat)
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

func (w *whole) patient(id chart.PatientID) flows.Patient {
	p, err := w.s.patient(w.ctx, id)
	w.must(err)
	return p
}

// Every talk is played through the program; then its patients are exported, and
// what is exported is replayed.
func TestTalksThroughTheProgram(t *testing.T) {
	var advices, nights, played atomic.Int64
	talks := loadTalks(t)
	t.Run("talk", func(t *testing.T) {
		for _, s := range talks {
			t.Run(s.name, func(t *testing.T) {
				t.Parallel()
				w := newWhole(t, memory.New())
				defer w.close()
				s.play(t, w, locales.KeyLang, false)
				a, n := w.replayed(t)
				advices.Add(int64(a))
				nights.Add(int64(n))
				played.Add(1)
			})
		}
	})
	t.Logf("%d advices replayed from courses, %d nights from diaries", advices.Load(), nights.Load())
	if played.Load() == int64(len(talks)) && (advices.Load() < 250 || nights.Load() < 200) {
		t.Error("too few advices for the talks to show anything")
	}
}

// A third of the talks, chosen by their names, is played on SQLite too. That
// all stores do the same is the suite's to prove (store/storetest).
func TestTalksOnSQLite(t *testing.T) {
	for _, s := range loadTalks(t) {
		h := fnv.New32a()
		h.Write([]byte(s.name))
		if h.Sum32()%3 != 0 {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			st, err := sqlite.Open(t.Context(), sqlite.Options{Path: filepath.Join(t.TempDir(), "talk.db")})
			if err != nil {
				t.Fatal(err)
			}
			w := newWhole(t, st)
			defer w.close()
			s.play(t, w, locales.KeyLang, false)
		})
	}
}

// A tenth of the talks is played on a real redis-server too.
func TestTalksOnRedis(t *testing.T) {
	for i, s := range loadTalks(t) {
		if i%10 != 0 {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			w := newWhole(t, startRedis(t))
			defer w.close()
			s.play(t, w, locales.KeyLang, false)
			w.replayed(t)
		})
	}
}

// startRedis opens a store on a server of its own.
func startRedis(t *testing.T) store.Store {
	t.Helper()
	st, err := redis.Open(t.Context(), redisServer(t))
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// redisServer starts a server that keeps everything, on a free port, and gives
// its address once it answers.
func redisServer(t testing.TB) string {
	t.Helper()
	return newRedis(t).address
}
