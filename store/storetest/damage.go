package storetest

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"time"

	"duskdawn/store"
)

// filled is one row of every kind there is.
func (b *bench) filled() {
	b.Helper()
	b.update(ann, store.Change{
		Body:    []byte("\x10a body of a patient that is long enough to be damaged in many places"),
		Summary: &store.Summary{Label: "hash", State: "stepping", Class: 'S', Deadline: start},
		Diary: []store.Row{{Night: 20513, Source: "patient", At: start, Body: []byte("\x10one night")},
			{Night: 20513, Source: "undo", At: start, Body: []byte("\x10the same")}},
		Journal: []store.Record{{At: start, Event: "u/1", What: "said", Body: []byte("\x10what was said")}},
		Set: []store.Timer{{Name: "evening", At: start, Wall: "2026-03-01T21:00", Zone: "Europe/Berlin", Body: []byte("arg")},
			{Name: "morning", At: start.Add(time.Hour), Body: []byte("arg")}},
		Out: []store.Item{item(ann, "waits", store.LanePrompt), item(ann, "doubt", store.LaneReply)},
	})
	b.update(chat, store.Change{Body: []byte("\x10a body of a chat")})
	b.update(practice, store.Change{Body: []byte("\x10a body of the practice")})
	b.reserve(start, "7", false, store.LaneReply)
	must(b, b.SetAside(b.ctx, "an-id", "a class", []byte(`{"update_id":1}`), start))
	if out, _, err := b.Lease(b.ctx, start, 1, store.LaneReply, time.Minute); err != nil || len(out) != 1 {
		b.Fatal(out, err)
	}
	b.settle(ann, "doubt", store.Settlement{Outcome: store.Doubt, Written: true})
	if due, err := b.Claim(b.ctx, start, 1, time.Hour); err != nil || len(due) != 1 || due[0].Damaged {
		b.Fatal(due, err)
	}
}

// named gives the names of the rows that are found damaged.
func (b *bench) named() []string {
	b.Helper()
	return collect(b, b.Damaged(b.ctx))
}

// reads reads whatever the row of that name holds.
func (b *bench) reads(name string) error {
	kind, _, _ := strings.Cut(name, " ")
	var err error
	drain := func(_ any, e error) bool { err = e; return e == nil }
	switch kind {
	case store.RowBody:
		for _, ref := range []store.Ref{ann, chat, practice} {
			if name == store.RowName(store.RowBody, ref) {
				_, err = b.Get(b.ctx, ref)
			}
		}
	case store.RowDiary:
		b.Diary(b.ctx, ann)(func(r store.Row, e error) bool { return drain(r, e) })
	case store.RowJournal:
		b.Journal(b.ctx, ann)(func(r store.Record, e error) bool { return drain(r, e) })
	case store.RowTimer:
		b.Pending(b.ctx, ann)(func(t store.Timer, e error) bool { return drain(t, e) })
	case store.RowItem:
		if strings.HasSuffix(name, "doubt") {
			b.Doubtful(b.ctx)(func(it store.Item, e error) bool { return drain(it, e) })
		} else { // only Lease reads it; testDamagedItem does
			err = store.ErrCorrupt
		}
	case store.RowAside:
		b.Asides(b.ctx)(func(a store.Aside, e error) bool { return drain(a, e) })
	case store.RowSummary:
		b.List(b.ctx, store.Query{})(func(s store.Summary, e error) bool { return drain(s, e) })
	default: // the secret, read once, when the store is opened, and what one store alone has
		err = store.ErrCorrupt
	}
	return err
}

// One flipped bit, wherever it is: whoever reads the row hears of it, and Damaged
// names it and nothing else. Forty in every body, eight in every other row.
func testBitRot(b *bench) {
	b.filled()
	rows := b.b.Rows(b, b.Store)
	all, kinds := rows.All(), map[string]int{}
	for name, whole := range all {
		kind, _, _ := strings.Cut(name, " ")
		kinds[kind]++
		tries := 8
		if kind == store.RowBody {
			tries = 40
		}
		for i := range tries {
			bit := (i*len(whole)*8/tries + i) % (len(whole) * 8)
			flipped := bytes.Clone(whole)
			flipped[bit/8] ^= 1 << (bit % 8)
			rows.Put(name, flipped)
			if got := b.named(); !slices.Equal(got, []string{name}) {
				b.Fatalf("bit %d of %q: found damaged: %q", bit, name, got)
			}
			is(b, b.reads(name), store.ErrCorrupt)
		}
		for _, cut := range [][]byte{whole[:len(whole)-1], append(bytes.Clone(whole), 0), {}} {
			rows.Put(name, cut)
			if got := b.named(); !slices.Equal(got, []string{name}) {
				b.Fatalf("%d of %d bytes of %q: found damaged: %q", len(cut), len(whole), name, got)
			}
		}
		rows.Put(name, whole)
	}
	for _, kind := range []string{store.RowBody, store.RowDiary, store.RowJournal, store.RowTimer, store.RowItem, store.RowAside,
		store.RowSecret, store.RowFlood} {
		if kinds[kind] == 0 {
			b.Errorf("no row of kind %s was tried", kind)
		}
	}
	if got := b.named(); len(got) > 0 {
		b.Errorf("put right again, and damaged: %q", got)
	}
}

// A whole row in another's place is damage as well.
func testBodyElsewhere(b *bench) {
	b.update(ann, store.Change{Body: []byte("\x10of ann")})
	b.update(ben, store.Change{Body: []byte("\x10of ben")})
	rows := b.b.Rows(b, b.Store)
	one, two := store.RowName(store.RowBody, ann), store.RowName(store.RowBody, ben)
	all := rows.All()
	rows.Put(one, all[two])
	_, err := b.Get(b.ctx, ann)
	is(b, err, store.ErrCorrupt)
	same(b, "damaged", b.named(), []string{one})
	b.update(ben, store.Change{Body: []byte("\x10later of ben")})
	rows.Put(two, all[two]) // an older one of its own
	_, err = b.Get(b.ctx, ben)
	is(b, err, store.ErrCorrupt)
}

// damage flips a bit of the row of that name.
func (b *bench) damage(name string) (repair func()) {
	b.Helper()
	rows := b.b.Rows(b, b.Store)
	whole, ok := rows.All()[name]
	if !ok {
		b.Fatalf("no row is called %q", name)
	}
	flipped := bytes.Clone(whole)
	flipped[len(flipped)-1] ^= 4
	rows.Put(name, flipped)
	return func() { rows.Put(name, whole) }
}

// again is the store as another process sees it, which remembers nothing.
func (b *bench) again() store.Store {
	if b.b.Again == nil {
		return b.Store
	}
	return b.b.Again(b, b.Store)
}

// An update of what cannot be read changes nothing; repaired it goes on.
func testDamagedBody(b *bench) {
	b.update(ann, store.Change{Body: []byte("\x10whole")})
	repair := b.damage(store.RowName(store.RowBody, ann))
	other := b.again()
	ran := false
	err := other.Update(b.ctx, ann, "e", start, func(store.Aggregate) (store.Change, error) {
		ran = true
		return store.Change{Body: []byte("\x10anew")}, nil
	})
	is(b, err, store.ErrCorrupt)
	if ran {
		b.Error("the flow saw what is damaged")
	}
	must(b, other.Update(b.ctx, ben, "e", start, func(store.Aggregate) (store.Change, error) {
		return store.Change{Body: []byte("\x10somebody else")}, nil
	}))
	repair()
	must(b, other.Update(b.ctx, ann, "e", start, func(a store.Aggregate) (store.Change, error) {
		if string(a.Body) != "\x10whole" {
			b.Errorf("repaired, and %q", a.Body)
		}
		return store.Change{Body: []byte("\x10anew")}, nil
	}))
}

// A timer that cannot be read is claimed as damaged, the others as ever; again
// when its hold ends, and whole when it was repaired.
func testDamagedTimer(b *bench) {
	b.update(ann, store.Change{Set: []store.Timer{{Name: "a", At: start, Body: []byte("x")}, {Name: "b", At: start, Body: []byte("y")}}})
	b.update(ben, store.Change{Set: []store.Timer{{Name: "c", At: start, Body: []byte("z")}}})
	repair := b.damage(store.RowName(store.RowTimer, ann, "a"))
	claim := func(now time.Time) (out []string) {
		due, err := b.Claim(b.ctx, now, 10, time.Minute)
		must(b, err)
		for _, t := range due {
			out = append(out, fmt.Sprintf("%s %s %v %q", t.Ref, t.Name, t.Damaged, t.Body))
		}
		return out
	}
	same(b, "claimed", claim(start), []string{`P07ann a true ""`, `P07ann b false "y"`, `P07ben c false "z"`})
	same(b, "claimed while held", claim(start.Add(time.Second)), nil)
	b.update(ann, store.Change{Clear: []string{"b"}})
	b.update(ben, store.Change{Clear: []string{"c"}})
	same(b, "claimed again", claim(start.Add(2*time.Minute)), []string{`P07ann a true ""`})
	repair()
	same(b, "claimed repaired", claim(start.Add(4*time.Minute)), []string{`P07ann a false "x"`})
	b.damage(store.RowName(store.RowTimer, ann, "a"))
	b.update(ann, store.Change{Set: []store.Timer{{Name: "a", At: start, Body: []byte("new")}}})
	same(b, "claimed anew", claim(start.Add(5*time.Minute)), []string{`P07ann a false "new"`})
}

// An item that cannot be read is listed among what is too late, so that its
// owner is told, and holds up nothing behind it.
func testDamagedItem(b *bench) {
	b.order(ann, item(ann, "one", store.LaneUrgent), item(ann, "two", store.LaneUrgent), item(ann, "three", store.LaneReply))
	b.order(ben, item(ben, "four", store.LaneReply))
	b.damage(store.RowName(store.RowItem, item(ann, "one", 0).ID))
	var sent []string
	now := start
	for range 4 {
		out, expired, err := b.Lease(b.ctx, now, 10, store.LaneAll, time.Hour)
		must(b, err)
		for _, it := range out {
			sent = append(sent, string(it.Body))
			must(b, b.Settle(b.ctx, it.ID, store.Settlement{Outcome: store.Sent, Written: true, At: now, Attempt: it.Attempt}))
		}
		for _, it := range expired {
			if !it.Damaged || it.Body != nil || it.State != store.Expired || it.Ref != ann || it.Key != "key-one" ||
				it.ID != item(ann, "one", 0).ID || it.Lane != store.LaneUrgent || it.Queue != "chat-07ann" {
				b.Errorf("listed: %+v", it)
			}
			sent = append(sent, "damaged")
			must(b, b.Settle(b.ctx, it.ID, store.Settlement{Outcome: store.Expired, At: now, Attempt: it.Attempt}))
		}
		now = now.Add(time.Second)
	}
	slices.Sort(sent)
	same(b, "sent", sent, []string{"damaged", "four", "three", "two"})
	if at, err := b.Ready(b.ctx, store.LaneAll); err != nil || !at.IsZero() {
		b.Errorf("something is still ready at %v, %v", at, err)
	}
}

// The same among what is leased behind the replies: Lease lists it next.
func testDamagedBehind(b *bench) {
	b.order(ann, item(ann, "one", store.LanePrompt), item(ann, "two", store.LanePrompt))
	b.damage(store.RowName(store.RowItem, item(ann, "one", 0).ID))
	out, err := b.LeaseBehind(b.ctx, start, 10, store.LaneAll, time.Minute)
	must(b, err)
	got := bodies(out)
	more, expired, err := b.Lease(b.ctx, start.Add(time.Second), 10, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "leased", append(got, bodies(more)...), []string{"two"})
	if len(expired) != 1 || !expired[0].Damaged {
		b.Errorf("listed: %+v", expired)
	}
}
