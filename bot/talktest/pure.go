package talktest

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/desk"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/scheduler"
)

// Pure plays a talk through the pure core alone. Its scheduler is as plain as
// can be: a list of timers, a list of what waits to go out.
type Pure struct {
	t     *testing.T
	words *locales.Words
	zones *scheduler.Zones
	at    time.Time
	pr    practice.Practice

	patients map[chart.PatientID]flows.Patient
	chats    map[int64]desk.Chat
	timers   []pureTimer
	waiting  []pureItem
	codes    map[string]chart.PatientID
	langs    map[int64]string // of the people's apps
	off      bool
	blocked  map[int64]bool
	lastSaid map[int64]int64
	out      []heard
	n        uint64
}

// pureTimer is a timer of one aggregate.
type pureTimer struct {
	owner     string
	patient   chart.PatientID // empty: the practice's
	chat      int64
	name, arg string
	at        time.Time
	zone      string
}

// pureItem is something that waits to leave an aggregate.
type pureItem struct {
	seq   uint64
	owner string
	lane  int // 0 for events of other aggregates, else 1 and the lane
	chat  int64
	lang  string
	send  flows.Send
	late  time.Time
	of    chart.PatientID
	from  int64 // the chat that told something
	tell  flows.Tell
}

func NewPure(t *testing.T) *Pure {
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	return &Pure{t: t, words: words, zones: scheduler.NewZones(), patients: map[chart.PatientID]flows.Patient{},
		chats: map[int64]desk.Chat{},
		codes: map[string]chart.PatientID{}, langs: map[int64]string{}, blocked: map[int64]bool{}, lastSaid: map[int64]int64{}}
}

func (w *Pure) open(at time.Time, pr practice.Practice) {
	w.at = at
	w.owner(flows.Settings{Practice: pr, Actor: flows.Actor{ID: "owner", Role: practice.Owner}})
}

func (w *Pure) now() time.Time { return w.at }

func (w *Pure) next() (at time.Time) {
	for _, t := range w.timers {
		if at.IsZero() || t.at.Before(at) {
			at = t.at
		}
	}
	return at
}

// set moves the clock and fires what is due, in order.
func (w *Pure) set(to time.Time) {
	for {
		due := -1
		for i, t := range w.timers {
			if !t.at.After(to) && (due < 0 || t.before(w.timers[due])) {
				due = i
			}
		}
		if due < 0 {
			break
		}
		t := w.timers[due]
		w.timers = slices.Delete(w.timers, due, due+1)
		if t.at.After(w.at) {
			w.drain()
			w.at = t.at
		}
		body := flows.Due{Name: t.name, Arg: t.arg, Scheduled: w.wall(t.zone, t.at),
			Late: int32(w.at.Sub(t.at) / time.Minute)}
		switch {
		case t.patient != "":
			w.toPatientNow(t.patient, body)
		case t.chat != 0:
			w.toChat(t.chat, body)
		default:
			w.toPractice(body)
		}
	}
	if to.After(w.at) {
		w.drain()
		w.at = to
	}
	w.drain()
}

func (t pureTimer) before(u pureTimer) bool {
	if !t.at.Equal(u.at) {
		return t.at.Before(u.at)
	}
	return cmp.Or(strings.Compare(t.owner, u.owner), strings.Compare(t.name, u.name)) < 0
}

func (w *Pure) wall(zone string, t time.Time) civil.Wall {
	z, _ := w.zones.Load(zone)
	return z.Wall(t)
}

// event makes an event of now; its seed is fresh, and the same in every run.
func (w *Pure) event(b flows.Body, zone string) flows.Event {
	w.n++
	var n [8]byte
	binary.BigEndian.PutUint64(n[:], w.n)
	sum := sha256.Sum256(n[:])
	e := flows.Event{ID: "e", At: w.at, Office: w.wall(w.pr.Zone, w.at), Body: b}
	if zone == "" {
		zone = w.pr.Zone
	}
	e.Wall = w.wall(zone, w.at)
	copy(e.Seed[:], sum[:])
	if s, ok := b.(flows.Said); ok {
		s.Wall = w.wall(zone, s.Sent)
		e.Body = s
	}
	return e
}

func (w *Pure) owner(b flows.Body) { w.toPractice(b); w.drain() }

func (w *Pure) toPractice(b flows.Body) {
	next, fx := desk.NextPractice(w.pr, w.event(b, ""))
	next.Rev = w.pr.Rev + 1
	w.pr = next
	w.effects(fx, pureItem{owner: "practice", lang: next.Lang}, next.Zone)
}

func (w *Pure) toPatient(id chart.PatientID, b flows.Body) { w.toPatientNow(id, b); w.drain() }

func (w *Pure) toPatientNow(id chart.PatientID, b flows.Body) {
	p := w.patients[id]
	zone := p.Zone
	if e, ok := b.(flows.Enrol); ok && p.ID == "" {
		if w.labelled(e.Enrolment.Label) {
			w.toChat(e.Chat, flows.LabelTaken{Label: e.Enrolment.Label})
			return
		}
		p.ID, zone = id, e.Enrolment.Zone
	}
	next, fx := flows.Next(w.pr, p, w.event(b, zone))
	if next.ID == "" {
		return
	}
	w.patients[id] = next
	if next.Zone != "" {
		zone = next.Zone
	}
	w.effects(fx, pureItem{owner: "patient " + string(id), of: id, chat: next.Chat, lang: next.Lang}, zone)
}

// labelled reports whether a patient goes by a label.
func (w *Pure) labelled(label string) bool {
	for _, p := range w.patients {
		if strings.EqualFold(p.Label, label) && p.Course.State != chart.Ended {
			return true
		}
	}
	return false
}

func (w *Pure) toChat(id int64, b flows.Body) {
	c, ok := w.chats[id]
	if !ok {
		c.ID = id
	}
	next, fx := desk.Next(w.pr, c, w.event(b, ""))
	w.chats[id] = next
	w.effects(fx, pureItem{owner: "chat", from: id, chat: id, lang: next.Lang}, w.pr.Zone)
}

// effects is one commit: withdrawals meet what waited before it.
func (w *Pure) effects(fx []flows.Effect, of pureItem, zone string) {
	for _, x := range fx {
		if x, ok := x.(flows.Withdraw); ok {
			w.waiting = slices.DeleteFunc(w.waiting, func(it pureItem) bool {
				return it.owner == of.owner && it.from == of.from && it.lane > 0 && it.send.Key == x.Key
			})
		}
	}
	for _, x := range fx {
		w.n++
		it := of
		it.seq = w.n
		switch x := x.(type) {
		case flows.Send:
			it.send, it.lane = x, 1+int(x.Lane)
			if x.Chat != 0 {
				it.chat = x.Chat
			}
			if x.Lang != "" {
				it.lang = x.Lang
			}
			if x.NotAfter > 0 {
				it.late = w.at.Add(time.Duration(x.NotAfter) * time.Minute)
			}
			if it.chat != 0 {
				w.waiting = append(w.waiting, it)
			}
		case flows.Tell:
			it.tell = x
			w.waiting = append(w.waiting, it)
		case flows.Call: // no outside call is set
			it.tell = flows.Tell{To: flows.Target{Patient: of.of}, Body: flows.Missed{Key: x.Key}}
			w.waiting = append(w.waiting, it)
		case flows.SetTimer:
			w.setTimer(x, of, zone)
		case flows.ClearTimer:
			w.clear(of, x.Name)
		case flows.Own:
			switch {
			case x.Kind != "code":
			case x.Drop:
				delete(w.codes, x.Value)
			default:
				w.codes[x.Value] = of.of
			}
		}
	}
}

func (w *Pure) setTimer(x flows.SetTimer, of pureItem, zone string) {
	t := pureTimer{owner: of.owner, patient: of.of, chat: of.from, name: x.Name, arg: x.Arg}
	switch {
	case x.After > 0:
		t.at = w.at.Add(time.Duration(x.After) * time.Minute)
	case x.Cron != "":
		rota, err := scheduler.ParseRota(x.Cron)
		if err != nil {
			w.t.Fatal(err)
		}
		at, ok := rota.NextWall(w.wall(w.pr.Zone, w.at))
		if !ok {
			return
		}
		t.zone = w.pr.Zone
		t.at = w.instant(t.zone, at)
	default:
		t.zone = zone
		if x.Office {
			t.zone = w.pr.Zone
		}
		t.at = w.instant(t.zone, x.At)
	}
	w.clear(of, x.Name)
	w.timers = append(w.timers, t)
}

func (w *Pure) instant(zone string, at civil.Wall) time.Time {
	z, _ := w.zones.Load(zone)
	return z.Instant(at)
}

func (w *Pure) clear(of pureItem, name string) {
	w.timers = slices.DeleteFunc(w.timers, func(t pureTimer) bool {
		return t.owner == of.owner && t.chat == of.from &&
			t.name == name
	})
}

func (w *Pure) heard() []heard {
	out := w.out
	w.out = nil
	return out
}

func (w *Pure) Patient(id chart.PatientID) flows.Patient { return w.patients[id] }
