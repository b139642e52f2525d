package storetest

import (
	"fmt"
	"slices"
	"time"

	"duskdawn/store"
)

// summaries are four patients with deadlines and without.
func summaries() []store.Summary {
	return []store.Summary{
		{Ref: ann, Label: "l1", State: "stepping", Answered: 20500, Review: start.Add(48 * time.Hour), Chat: -1 << 52, Step: 4},
		{Ref: ben, Label: "l2", State: "stopped", Class: 'S', Acked: true, Deadline: start.Add(time.Hour), Answered: 20510, Step: -1},
		{Ref: cyd, Label: "l3", State: "stepping", Class: 'N', Deadline: start.Add(time.Minute), Answered: 0},
		{Ref: store.Ref{Kind: store.Patient, ID: "00dot"}, Label: "l2", State: "holding", Class: 'E', Deadline: start.Add(time.Hour), Answered: 20511},
	}
}

func testList(b *bench) {
	all := summaries()
	for _, s := range all {
		in := s
		in.Ref = store.Ref{} // given by the store
		b.update(s.Ref, store.Change{Summary: &in})
	}
	b.update(ann, store.Change{Body: []byte("x")}) // leaves the summary
	want := func(n ...int) (out []store.Summary) {
		for _, i := range n {
			out = append(out, all[i])
		}
		return out
	}
	for _, c := range []struct {
		what string
		q    store.Query
		want []store.Summary
	}{
		{"all", store.Query{}, want(2, 3, 1, 0)},
		{"by label", store.Query{Label: "l2"}, want(3, 1)},
		{"by state", store.Query{State: "stepping"}, want(2, 0)},
		{"open", store.Query{Open: true}, want(2, 3, 1)},
		{"silent", store.Query{Silent: 20510}, want(2, 0)},
		{"limited", store.Query{Limit: 2}, want(2, 3)},
		{"behind", store.Query{After: ann}, want(1, 2)},
		{"all of it", store.Query{Label: "l2", Open: true, State: "stopped", Silent: 20511, After: ann, Limit: 5}, want(1)},
		{"none", store.Query{Label: "l4"}, nil},
	} {
		same(b, c.what, collect(b, b.List(b.ctx, c.q)), c.want)
	}
	all[1].Class, all[1].Deadline = 0, time.Time{}
	b.update(ben, store.Change{Summary: &all[1]})
	same(b, "open after one was closed", collect(b, b.List(b.ctx, store.Query{Open: true})), want(2, 3))
	all[1].Label = "l9"
	b.update(ben, store.Change{Summary: &all[1]})
	same(b, "the old label", collect(b, b.List(b.ctx, store.Query{Label: "l2"})), want(3))
	same(b, "the new label", collect(b, b.List(b.ctx, store.Query{Label: "l9"})), want(1))
	for range b.List(b.ctx, store.Query{}) { // a reader may stop, and may write meanwhile
		b.update(ann, store.Change{Body: []byte("y")})
		break
	}
}

func testListPages(b *bench) {
	var want []store.Ref
	for i := range 50 {
		ref := store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02dp%d", i*13%store.Shards, i)}
		b.update(ref, store.Change{Summary: &store.Summary{State: "stepping",
			Deadline: start.Add(time.Duration(-i) * time.Hour)}})
		want = append(want, ref)
	}
	slices.SortFunc(want, store.Ref.Compare)
	first := store.Ref{Kind: store.Patient, ID: "00"}
	var got []store.Ref
	for after := first; ; after = got[len(got)-1] {
		page := collect(b, b.List(b.ctx, store.Query{After: after, Limit: 7}))
		for _, s := range page {
			got = append(got, s.Ref)
		}
		if len(page) < 7 {
			break
		}
	}
	same(b, "pages", got, want)
}

func testDiary(b *bench) {
	at := start.Add(123456789 * time.Nanosecond)
	b.update(ann, store.Change{Diary: []store.Row{{Night: 20500, Source: "patient", At: at, Body: []byte("a")},
		{Night: 20499, Source: "staff", At: at, Body: []byte("b")}}})
	b.update(ann, store.Change{Diary: []store.Row{{Night: 20500, Rev: 99, Source: "undo", At: at, Body: []byte("c")},
		{Night: 20500, Source: "bot", At: at}}})
	b.update(ben, store.Change{Diary: []store.Row{{Night: -3, Source: "patient", At: at.In(time.FixedZone("x", 3600)),
		Body: []byte("d")}}})
	kept := at.Truncate(time.Microsecond)
	same(b, "diary", collect(b, b.Diary(b.ctx, ann)), []store.Row{
		{Night: 20500, Rev: 1, Source: "patient", At: kept, Body: []byte("a")},
		{Night: 20499, Rev: 1, Source: "staff", At: kept, Body: []byte("b")},
		{Night: 20500, Rev: 2, Source: "undo", At: kept, Body: []byte("c")},
		{Night: 20500, Rev: 3, Source: "bot", At: kept},
	})
	same(b, "diary of another", collect(b, b.Diary(b.ctx, ben)),
		[]store.Row{{Night: -3, Rev: 1, Source: "patient", At: kept, Body: []byte("d")}})
	same(b, "diary of nobody", collect(b, b.Diary(b.ctx, cyd)), nil)
}

func testJournal(b *bench) {
	rec := store.Record{Seq: 77, At: start.Add(1500 * time.Nanosecond), Event: "e", Actor: "bot", Role: "r",
		Practice: 1 << 40, Plan: 3, Rules: 4, What: "advised", Body: []byte("five")}
	b.update(ann, store.Change{Journal: []store.Record{rec, {What: "second"}}})
	b.update(ben, store.Change{Journal: []store.Record{{What: "another's"}}})
	b.update(ann, store.Change{Journal: []store.Record{{What: "third"}}})
	got := collect(b, b.Journal(b.ctx, ann))
	must(b, store.Verify(got))
	rec.Seq, rec.At, rec.Hash = 1, start.Add(time.Microsecond), got[0].Hash
	same(b, "first record", got[0], rec)
	same(b, "records", []any{len(got), got[1].What, got[2].What, got[2].Seq}, []any{3, "second", "third", int64(3)})
	must(b, store.Verify(collect(b, b.Journal(b.ctx, ben))))
	for what, alter := range map[string]func([]store.Record) []store.Record{
		"a changed text":   func(r []store.Record) []store.Record { r[1].What = "other"; return r },
		"a changed time":   func(r []store.Record) []store.Record { r[0].At = start; return r },
		"a missing record": func(r []store.Record) []store.Record { return append(r[:1], r[2:]...) },
		"a missing start":  func(r []store.Record) []store.Record { return r[1:] },
		"swapped records":  func(r []store.Record) []store.Record { r[0], r[1] = r[1], r[0]; return r },
	} {
		if err := store.Verify(alter(slices.Clone(got))); err == nil {
			b.Errorf("%s went unnoticed", what)
		}
	}
}

func testRefs(b *bench) {
	chat := store.Ref{Kind: store.Chat, ID: "21:-7"}
	same(b, "an empty store", collect(b, b.Refs(b.ctx)), nil)
	b.update(cyd, store.Change{Body: []byte("x"), Journal: []store.Record{{What: "one"}}})
	b.update(ann, store.Change{Body: []byte("x")})
	b.update(chat, store.Change{Journal: []store.Record{{What: "one", At: start},
		{What: "two", At: start.Add(time.Hour)}}})
	b.update(ben, store.Change{}) // an event was seen, and nothing kept
	want := []store.Ref{chat, ann, cyd}
	slices.SortFunc(want, store.Ref.Compare)
	same(b, "refs", collect(b, b.Refs(b.ctx)), want)
	got, err := store.Audit(b.ctx, b)
	must(b, err)
	same(b, "audit", got, store.Audited{Journals: 2, Records: 3, Last: start.Add(time.Hour)})
}
