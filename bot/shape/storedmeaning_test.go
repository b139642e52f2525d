package shape

import (
	"fmt"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/desk"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/store"
)

// wantMeaning wants every line that an old version's files meant. A field that
// came later may add its own.
func wantMeaning(t *testing.T, want []byte, st store.Store) {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(string(want)), "\n")
	if len(lines) < 100 {
		t.Fatalf("%d lines mean too little", len(lines))
	}
	missing := unmeant(lines, meaning(t, st))
	for _, line := range missing[:min(10, len(missing))] {
		t.Errorf("it meant, and means no more:\n\t%s", line)
	}
	if len(missing) > 0 {
		t.Errorf("%d of %d lines are missing", len(missing), len(lines))
	}
}

// meaning tells everything that a store holds, a line each: it takes what waits
// with it, so the store is used up.
func meaning(t *testing.T, st store.Store) (out []string) {
	t.Helper()
	ctx := t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	tell := func(path string, v any) { out = append(out, printed(path, v)...) }
	for ref, err := range st.Refs(ctx) {
		must(err)
		a, err := st.Get(ctx, ref)
		must(err)
		tell(ref.String()+" rev", a.Rev)
		switch ref.Kind {
		case store.Patient:
			p, err := store.DecodePatient(a.Body)
			must(err)
			tell(ref.String(), p)
		case store.Chat:
			var c desk.Chat
			must(store.Decode(a.Body, &c))
			tell(ref.String(), c)
		case store.Practice:
			var pr practice.Practice
			must(store.Decode(a.Body, &pr))
			tell(ref.String(), pr)
		}
		for r, err := range st.Diary(ctx, ref) {
			must(err)
			var e chart.Entry
			must(store.Decode(r.Body, &e))
			tell(fmt.Sprintf("%s diary %d %d %s %s", ref, r.Night, r.Rev, r.Source, r.At.Format(time.RFC3339)), e)
		}
		for r, err := range st.Journal(ctx, ref) {
			must(err)
			path := fmt.Sprintf("%s journal %d", ref, r.Seq)
			body := r.Body
			r.Body = nil
			tell(path, r)
			if r.What == store.WhatShown {
				tell(path+" shown", string(body))
				continue
			}
			var line struct { // as the scheduler writes it
				Body []byte      `cbor:"1,keyasint"`
				Wall civil.Wall  `cbor:"2,keyasint"`
				Logs []flows.Log `cbor:"6,keyasint,omitempty"`
			}
			must(store.Decode(body, &line))
			b, err := store.DecodeBody(line.Body)
			must(err)
			tell(path+" event", b)
			tell(path+" wall", line.Wall)
			tell(path+" logs", line.Logs)
		}
		for tm, err := range st.Pending(ctx, ref) {
			must(err)
			tell(ref.String()+" timer "+tm.Name, tm)
		}
	}
	for m, err := range st.List(ctx, store.Query{}) {
		must(err)
		tell("summary", m)
	}
	for it, err := range st.Doubtful(ctx) {
		must(err)
		tell("doubt "+it.ID, it.Queue+" "+it.Ref.String())
	}
	for x, err := range st.Asides(ctx) {
		must(err)
		tell("aside", x)
	}
	far := storedDay.Add(50 * 365 * 24 * time.Hour)
	for {
		items, expired, err := st.Lease(ctx, far, 100, store.LaneAll, time.Minute)
		must(err)
		if len(items)+len(expired) == 0 {
			return out
		}
		for _, it := range append(items, expired...) {
			attempt := it.Attempt
			var m message.Message
			must(store.Decode(it.Body, &m))
			it.Body, it.Seq, it.Attempt, it.NotBefore = nil, 0, 0, time.Time{} // what a store gives, or its tries
			tell("waits "+it.ID, it)
			tell("waits "+it.ID+" message", m)
			must(st.Settle(ctx, it.ID, store.Settlement{Outcome: store.Cancelled, At: far, Attempt: attempt}))
		}
	}
}

// printed tells every field that is set, by its path, a line each.
func printed(path string, v any) (out []string) {
	walk(path, reflect.ValueOf(v), &out)
	return out
}

// bytesMeant finds bytes with zeros at their end, in a line of what is printed.
var bytesMeant = regexp.MustCompile(`^(.*) = ((?:[0-9a-f]{2})*?)(?:00)*$`)

// unmeant gives the lines of an old version that are not among those printed
// now. A list of bytes may have grown.
func unmeant(old, now []string) (out []string) {
	has := map[string]bool{}
	for _, line := range now {
		has[line] = true
	}
	for _, line := range old {
		line = oldPath(line)
		m := bytesMeant.FindStringSubmatch(line)
		if !has[line] && (m == nil || !has[fmt.Sprintf("%s[:%d] = %s", m[1], len(m[2])/2, m[2])]) {
			out = append(out, line)
		}
	}
	return out
}

func walk(path string, v reflect.Value, out *[]string) {
	if !v.IsValid() || v.IsZero() {
		return
	}
	if at, ok := v.Interface().(time.Time); ok {
		*out = append(*out, fmt.Sprintf("%s = %s", path, at.UTC().Format(time.RFC3339Nano)))
		return
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		walk(path, v.Elem(), out)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				walk(path+"."+v.Type().Field(i).Name, v.Field(i), out)
			}
		}
	case reflect.Slice, reflect.Array:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			hex := fmt.Sprintf("%x", v.Interface())
			*out = append(*out, path+" = "+hex)
			if v.Kind() == reflect.Array { // may grow: its first bytes, up to the last that is set, mean by themselves
				n := v.Len()
				for v.Index(n - 1).IsZero() {
					n--
				}
				*out = append(*out, fmt.Sprintf("%s[:%d] = %s", path, n, hex[:2*n]))
			}
			return
		}
		for i := range v.Len() {
			walk(fmt.Sprintf("%s[%d]", path, i), v.Index(i), out)
		}
	case reflect.String:
		*out = append(*out, fmt.Sprintf("%s = %q", path, v.String()))
	default:
		*out = append(*out, fmt.Sprintf("%s = %d", path, v.Interface()))
	}
}
