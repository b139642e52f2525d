package scheduler

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
	"duskdawn/store"
)

// RulesVersion names the rules that the journal's decisions were made by.
const RulesVersion = 6

// writer turns the effects of one event into one change.
type writer struct {
	r      *Runner
	ref    store.Ref
	e      flows.Event
	zone   string // the aggregate's
	office string
	lang   string
	chat   int64
	c      *store.Change
	logs   []flows.Log
	n      int // items so far
}

// effects writes them in order. A timer that fired goes away in the commit of
// its event, unless the event set it again.
func (w *writer) effects(fx []flows.Effect) error {
	for _, x := range fx {
		if err := w.effect(x); err != nil {
			return err
		}
	}
	if due, ok := w.e.Body.(flows.Due); ok && !slices.ContainsFunc(w.c.Set,
		func(t store.Timer) bool { return t.Name == due.Name }) {
		w.c.Clear = append(w.c.Clear, due.Name)
	}
	return nil
}

func (w *writer) effect(x flows.Effect) error {
	switch x := x.(type) {
	case flows.Send:
		return w.send(x)
	case flows.Withdraw:
		w.c.Withdraw = append(w.c.Withdraw, w.key(x.Key))
	case flows.SetTimer:
		if t, ok := w.timer(x); ok {
			w.c.Set = append(w.c.Set, t)
		}
	case flows.ClearTimer: // the store clears before it sets, so one that was set a line above goes here
		w.c.Set = slices.DeleteFunc(w.c.Set, func(t store.Timer) bool { return t.Name == x.Name })
		w.c.Clear = append(w.c.Clear, x.Name)
	case flows.Note:
		body, err := store.Encode(x.Entry)
		if err != nil {
			return err
		}
		w.c.Diary = append(w.c.Diary, store.Row{Night: int32(x.Entry.Night), Source: x.Source.String(), At: w.e.At,
			Body: body})
	case flows.Log:
		w.logs = append(w.logs, x)
	case flows.Tell:
		return w.tell(x)
	case flows.Call:
		return w.call(x)
	case flows.Own:
		if x.Kind != "code" { // labels are found through the summary
			return nil
		}
		if k := codeKey(w.r.secret, x.Value); x.Drop {
			w.c.Disown = append(w.c.Disown, k)
		} else {
			w.c.Own = append(w.c.Own, k)
		}
	default:
		return fmt.Errorf("no stored form for the effect %T", x)
	}
	return nil
}

// send makes an outbox item; a message to nobody is dropped.
func (w *writer) send(s flows.Send) error {
	chat := s.Chat
	if chat == 0 {
		chat = w.chat
	}
	if chat == 0 {
		return nil
	}
	body, err := store.Encode(s.Msg)
	if err != nil {
		return err
	}
	it := store.Item{
		ID: w.itemID(), Ref: w.ref, Queue: strconv.FormatInt(chat, 10), Lane: store.LaneUrgent + store.Lane(s.Lane),
		Key:  w.key(s.Key),
		Body: body, Lang: s.Lang, Plan: s.Plan, Advice: s.Advice, Once: s.Once, Ordered: w.e.At,
	}
	if it.Lang == "" {
		it.Lang = w.lang
	}
	if s.NotAfter > 0 {
		it.NotAfter = w.e.At.Add(time.Duration(s.NotAfter) * time.Minute)
	}
	if it.Lane == store.LaneUrgent && it.NotAfter.IsZero() {
		it.NotAfter = w.e.At.Add(UrgentFor)
	}
	w.c.Out = append(w.c.Out, it)
	return nil
}

// tellForm is an event for another aggregate as stored.
type tellForm struct {
	To   flows.Target `cbor:"1,keyasint"`
	Body []byte       `cbor:"2,keyasint"`
}

// tell makes an outbox item that becomes an event of another aggregate.
func (w *writer) tell(t flows.Tell) error {
	body, err := store.EncodeBody(t.Body)
	if err != nil {
		return err
	}
	form, err := store.Encode(tellForm{t.To, body})
	if err != nil {
		return err
	}
	w.c.Out = append(w.c.Out, store.Item{ID: w.itemID(), Ref: w.ref, Queue: tellQueue(t.To), Lane: store.LaneEvent,
		Body: form, Ordered: w.e.At})
	return nil
}

// callForm is an outside call as stored.
type callForm struct {
	Class  redflag.Class `cbor:"1,keyasint"`
	Number int32         `cbor:"2,keyasint"`
}

// callQueue is the line of a patient's outside calls. They go with the events,
// which nothing holds up: neither a flood limit nor a restored copy.
const callQueue = "call"

// call makes an outbox item that becomes an outside call.
func (w *writer) call(c flows.Call) error {
	form, err := store.Encode(callForm{c.Class, c.Number})
	if err != nil {
		return err
	}
	w.c.Out = append(w.c.Out, store.Item{ID: w.itemID(), Ref: w.ref, Queue: callQueue, Lane: store.LaneEvent, Key: w.key(c.Key),
		Body: form, Ordered: w.e.At, NotAfter: w.e.At.Add(time.Duration(c.Within) * time.Minute)})
	return nil
}

func (w *writer) itemID() string {
	w.n++
	return itemID(w.ref, w.e.ID, w.e.At, w.n)
}

// key makes a withdrawal key the aggregate's own.
func (w *writer) key(k string) string {
	if k == "" {
		return ""
	}
	return w.ref.String() + "/" + k
}

// orderedKey is the key that the flow gave an item: key's way back.
func orderedKey(it store.Item) string { return strings.TrimPrefix(it.Key, it.Ref.String()+"/") }

// timer resolves a wall time by the zone it is meant in.
func (w *writer) timer(s flows.SetTimer) (store.Timer, bool) {
	t := store.Timer{Ref: w.ref, Name: s.Name, Body: []byte(s.Arg)}
	if s.After > 0 {
		t.At = w.e.At.Add(time.Duration(s.After) * time.Minute)
		return t, true
	}
	t.Zone = w.zone
	if s.Office || s.Cron != "" {
		t.Zone = w.office
	}
	if s.Cron != "" {
		next, ok := w.r.cron(s.Cron, w.e.Office)
		if !ok {
			return store.Timer{}, false // a line that cannot be read was refused when the settings were
		}
		s.At = next
	}
	s.At = w.r.spread(w.ref, s.At, s.Slack)
	t.At = w.r.zone(t.Zone).Instant(s.At)
	t.Wall = wallText(s.At)
	t.Basis = w.r.zone(t.Zone).Basis()
	return t, true
}

// journalForm is an event as the journal keeps it: enough to run it again.
type journalForm struct {
	Body   []byte      `cbor:"1,keyasint"`
	Wall   civil.Wall  `cbor:"2,keyasint"`
	Office civil.Wall  `cbor:"3,keyasint"`
	Seed   []byte      `cbor:"4,keyasint"`
	Doubt  bool        `cbor:"5,keyasint,omitempty"`
	Logs   []flows.Log `cbor:"6,keyasint,omitempty"`
	Rival  bool        `cbor:"7,keyasint,omitempty"` // another program was seen to poll, whether or not the practice had it yet
}

// journal writes the line of this commit.
func (w *writer) journal(actor, role string, pr *practice.Practice, plan int32) error {
	body, err := store.EncodeBody(flows.Kept(w.r.veiled(w.e.Body)))
	if err != nil {
		return err
	}
	form, err := store.Encode(journalForm{body, w.e.Wall, w.e.Office, w.e.Seed[:], w.e.Doubt, w.logs, pr.Rival})
	if err != nil {
		return err
	}
	w.c.Journal = append(w.c.Journal, store.Record{At: w.e.At, Event: w.e.ID, Actor: actor, Role: role,
		Practice: pr.Rev, Plan: plan, Rules: RulesVersion, What: store.KindOf(w.e.Body), Body: form})
	return nil
}

// summary is the small view that queue, digest and search read.
func (r *Runner) summary(p *flows.Patient) store.Summary {
	s := store.Summary{Ref: PatientRef(p.ID), Label: r.LabelKey(p.Label), State: p.Course.State.String(), Chat: p.Chat,
		Step: int32(p.Course.Left)}
	if p.Review != 0 {
		s.Review = p.Review.Time()
	}
	for i := range p.Course.N {
		if e := &p.Course.Nights[i]; e.V[chart.Worn].Known() {
			s.Answered = int32(e.Night)
		}
	}
	for _, esc := range p.Escalations {
		if esc.Class.Worse(redflag.Class(s.Class)) {
			s.Class, s.Acked = byte(esc.Class), esc.AckBy != ""
		}
		if esc.AckBy == "" && esc.Deadline != 0 {
			s.Deadline = earliest(s.Deadline, time.Unix(esc.Deadline, 0).UTC())
		}
	}
	return s
}

func tellQueue(t flows.Target) string {
	switch {
	case t.Patient != "":
		return PatientRef(t.Patient).String()
	case t.Chat != 0:
		return ChatRef(t.Chat).String()
	case t.Open:
		return "open"
	case t.Code != "":
		return "code" // one queue for codes keeps guessing slow
	}
	return PracticeRef().String()
}

func wallText(w civil.Wall) string {
	return fmt.Sprintf("%sT%02d:%02d", w.Date, w.Clock/60, w.Clock%60)
}

// parseWall reads what wallText wrote.
func parseWall(s string) (civil.Wall, error) {
	t, err := time.Parse("2006-01-02T15:04", s)
	if err != nil {
		return civil.Wall{}, fmt.Errorf("reading a timer's wall time: %w", err)
	}
	return civil.Wall{Date: civil.DateOf(t.Year(), t.Month(), t.Day()), Clock: civil.Clock(t.Hour()*60 + t.Minute())}, nil
}

func chatOf(ref store.Ref) int64 {
	_, s, _ := strings.Cut(ref.ID, ":")
	n, _ := strconv.ParseInt(s, 10, 64)
	return n
}
