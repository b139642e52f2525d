package shape

import (
	"bytes"
	"compress/gzip"
	"encoding/hex"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/desk"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redistest"
	"duskdawn/store/sqlite"
)

// next adds the next version's files to testdata/stored. Those of an older one
// are never written again: they are what is out there.
var next = flag.Bool("next", false, "TestStored adds the present stored form as the next version")

const storedDir = "../../testdata/stored"

// storedDay is when the people of the stored files began; they lived three days.
var storedDay = time.Date(2026, 2, 24, 15, 0, 0, 0, time.UTC)

const storedUser = stage.UserPatient + 1

// versions lists the released versions, oldest first.
func versions(t *testing.T) (out []int) {
	t.Helper()
	dirs, err := os.ReadDir(storedDir)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range dirs {
		if n, err := strconv.Atoi(d.Name()); err == nil && d.IsDir() {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}

// TestStored opens what each released version stored, wants it to mean what it
// meant, and lives on with it.
func TestStored(t *testing.T) {
	all := versions(t)
	if *next {
		addStored(t, filepath.Join(storedDir, strconv.Itoa(len(all)+1)))
		all = versions(t)
	}
	if len(all) == 0 {
		t.Fatal("no released version has its files here")
	}
	form := presentForm(t)
	for _, n := range all {
		dir := filepath.Join(storedDir, strconv.Itoa(n))
		t.Run(fmt.Sprint("form of ", n), func(t *testing.T) {
			old, err := oldForm(readLines(t, filepath.Join(dir, "form.txt")))
			if err != nil || len(old) < 300 {
				t.Fatalf("%d lines are no stored form, %v", len(old), err)
			}
			for _, wrong := range changed(old, form) {
				t.Errorf("stored by version %d as %s", n, wrong)
			}
		})
		t.Run(fmt.Sprint("bodies of ", n), func(t *testing.T) { wantBodies(t, filepath.Join(dir, "bodies.txt")) })
		t.Run(fmt.Sprint("sqlite of ", n), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "d.db")
			if err := os.WriteFile(path, unzip(t, filepath.Join(dir, "sqlite.db.gz")), 0o600); err != nil {
				t.Fatal(err)
			}
			open := func() store.Store {
				st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
				if err != nil {
					t.Fatal(err)
				}
				return st
			}
			liveOn(t, open())
			if err := os.WriteFile(path, unzip(t, filepath.Join(dir, "sqlite.db.gz")), 0o600); err != nil {
				t.Fatal(err)
			}
			st := open()
			defer st.Close()
			wantMeaning(t, unzip(t, filepath.Join(dir, "sqlite.txt.gz")), st)
		})
		t.Run(fmt.Sprint("redis of ", n), func(t *testing.T) {
			dump := unzip(t, filepath.Join(dir, "redis.dump.gz"))
			for _, use := range []func(*testing.T, store.Store){
				goOn,
				func(t *testing.T, st store.Store) {
					defer st.Close()
					wantMeaning(t, unzip(t, filepath.Join(dir, "redis.txt.gz")), st)
				},
			} {
				address := redistest.Address(t)
				loadRedis(t, address, dump)
				st, err := program.OpenStore(t.Context(), setup.Secret(address), false)
				if err != nil {
					t.Fatal(err)
				}
				use(t, st)
			}
		})
	}
}

// addStored writes the present form's files into a directory that is new.
func addStored(t *testing.T, dir string) {
	t.Helper()
	if err := os.Mkdir(dir, 0o755); err != nil { // refuses one that is there
		t.Fatal(err)
	}
	write := func(name string, data []byte) {
		t.Helper()
		if strings.HasSuffix(name, ".gz") {
			var b bytes.Buffer
			z := gzip.NewWriter(&b)
			if _, err := z.Write(data); err != nil {
				t.Fatal(err)
			}
			if err := z.Close(); err != nil {
				t.Fatal(err)
			}
			data = b.Bytes()
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	lines := func(ls []string) []byte { return []byte(strings.Join(ls, "\n") + "\n") }
	write("form.txt", lines(presentForm(t)))
	write("bodies.txt", presentBodies(t))

	path, copy := filepath.Join(t.TempDir(), "d.db"), filepath.Join(t.TempDir(), "copy.db")
	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	liveBefore(t, st)
	if err := st.Backup(t.Context(), copy); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(copy)
	if err != nil {
		t.Fatal(err)
	}
	write("sqlite.db.gz", raw)
	write("sqlite.txt.gz", lines(meaning(t, st)))
	st.Close()

	address := redistest.Address(t)
	rd, err := program.OpenStore(t.Context(), setup.Secret(address), false)
	if err != nil {
		t.Fatal(err)
	}
	from, err := sqlite.Open(t.Context(), sqlite.Options{Path: copy})
	if err != nil {
		t.Fatal(err)
	}
	transfer(t, from, rd)
	from.Close()
	write("redis.dump.gz", dumpRedis(t, address))
	write("redis.txt.gz", lines(meaning(t, rd)))
	rd.Close()
}

// liveBefore fills a store by three days of one patient, and leaves open what can
// be: an escalation, a question, a staff form, messages that wait, one in doubt,
// an update set aside.
func liveBefore(t *testing.T, st store.Store) {
	t.Helper()
	ctx := t.Context()
	g, err := stage.New(ctx, st, storedDay, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := &stage.Scene{Stage: g}
	defer s.Close()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	raw, err := stage.Scenario.ReadFile("scenario/practice.toml")
	must(err)
	pr, _ := setup.Practice(raw, s.Words.Languages())
	must(program.BringPractice(ctx, s.Runner, pr, raw))
	s.Doctor, err = s.JoinStaff(ctx, practice.Staff{ID: "sclinician", Label: "Dr Osprey", Role: practice.Clinician},
		stage.UserClinician)
	must(err)
	_, err = s.JoinStaff(ctx, practice.Staff{ID: "sassistant", Label: "Ms Plover", Role: practice.Assistant},
		stage.UserAssistant)
	must(err)
	cast := stage.Personas()[1:2]
	cast[0].User = storedUser
	must(s.JoinPatient(ctx, &cast[0]))
	must(s.Live(ctx, cast, storedDay.AddDate(0, 0, 3)))
	must(s.Say(ctx, stage.UserClinician, "enrol"))
	must(s.Say(ctx, stage.UserClinician, "Tern-31"))
	must(s.Say(ctx, storedUser, "a piece came off"))
	s.Platform.Inject(standin.Fault{Kind: standin.ServerError, Method: "sendMessage", Times: -1})
	for _, text := range []string{"today", "my gum is sore"} {
		_, err := s.Platform.Say(storedUser, text)
		must(err)
	}
	for end := time.Now().Add(20 * time.Second); !s.Platform.Quiet(); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the platform does not become quiet")
		}
	}
	s.Halt()
	out, _, err := st.Lease(ctx, s.Hands.Now().Add(time.Hour), 1, store.LaneAll, time.Minute)
	if err != nil || len(out) == 0 {
		t.Fatalf("nothing waits: %v", err)
	}
	must(st.Settle(ctx, out[0].ID, store.Settlement{Outcome: store.Doubt, Written: true, At: s.Hands.Now(),
		Attempt: out[0].Attempt}))
	must(st.SetAside(ctx, "an-id", "a class", []byte(`{"update_id":1}`), s.Hands.Now()))
}

// liveOn goes on with a store for a day, from its newest record.
func liveOn(t *testing.T, st store.Store) {
	t.Helper()
	defer st.Close()
	ctx := t.Context()
	before, err := store.Audit(ctx, st)
	if err != nil {
		t.Fatal(err)
	}
	g, err := stage.New(ctx, st, before.Last.Add(time.Minute), nil)
	if err != nil {
		t.Fatal(err)
	}
	s := &stage.Scene{Stage: g}
	defer s.Close()
	for _, u := range []standin.User{{ID: stage.UserClinician, Name: "Dr Osprey", Language: "en"},
		{ID: stage.UserAssistant, Name: "Ms Plover", Language: "en"}, {ID: storedUser, Name: "Heron-04", Language: "en"}} {
		s.Platform.AddUser(u)
	}
	p, err := s.ByChat(storedUser)
	if err != nil || p.Label != "Heron-04" {
		t.Fatalf("the chat is of %q, %v", p.Label, err)
	}
	for _, who := range []int64{stage.UserClinician, storedUser} {
		if err := s.Say(ctx, who, map[int64]string{stage.UserClinician: "queue", storedUser: "today"}[who]); err != nil {
			t.Fatal(err)
		}
		if s.Heard(who) < 2 {
			t.Errorf("%d hears no answer", who)
		}
	}
	n := s.Heard(storedUser)
	if err := s.Move(ctx, s.Hands.Now().Add(24*time.Hour)); err != nil {
		t.Fatal(err)
	}
	if s.Heard(storedUser) < n+2 {
		t.Errorf("%d prompts in a day", s.Heard(storedUser)-n)
	}
	q, err := s.ByChat(storedUser)
	if err != nil || q.Course.Advices <= p.Course.Advices || q.Course.N <= p.Course.N {
		t.Errorf("advices %d, then %d; nights %d, then %d; %v", p.Course.Advices, q.Course.Advices, p.Course.N, q.Course.N,
			err)
	}
	after, err := store.Audit(ctx, st)
	if err != nil || after.Records <= before.Records || after.Journals < before.Journals {
		t.Errorf("journals %+v, then %+v, %v", before, after, err)
	}
}

// goOn is liveOn without a platform: a word of the patient's, and a day of timers.
func goOn(t *testing.T, st store.Store) {
	t.Helper()
	defer st.Close()
	ctx := t.Context()
	before, err := store.Audit(ctx, st)
	if err != nil {
		t.Fatal(err)
	}
	hands := scheduler.NewManualClock(before.Last.Add(time.Minute))
	g, err := program.Build(ctx, program.Parts{Store: st, Clock: hands})
	if err != nil {
		t.Fatal(err)
	}
	patient := func() (p flows.Patient) {
		for m, err := range st.List(ctx, store.Query{}) {
			if err != nil {
				t.Fatal(err)
			}
			if p, err = g.Patient(ctx, chart.PatientID(m.Ref.ID)); err != nil {
				t.Fatal(err)
			}
		}
		return p
	}
	p := patient()
	said := flows.Said{Chat: p.Chat, Gen: p.Gen, Text: "snoring 4", Reading: g.Words.Read("snoring 4"), Sent: hands.Now()}
	if err := g.Runner.Handle(ctx, scheduler.PatientRef(p.ID), "u/stored", said); err != nil {
		t.Fatal(err)
	}
	for range 24 {
		hands.Set(hands.Now().Add(time.Hour))
		for fired := 1; fired > 0; {
			if fired, _, err = g.Runner.FireDue(ctx); err != nil {
				t.Fatal(err)
			}
		}
	}
	q := patient()
	if p.Course.Advices == 0 || q.Course.Advices <= p.Course.Advices {
		t.Errorf("advices %d, then %d", p.Course.Advices, q.Course.Advices)
	}
	after, err := store.Audit(ctx, st)
	if err != nil || after.Records < before.Records+4 {
		t.Errorf("journals %+v, then %+v, %v", before, after, err)
	}
}

// transfer commits what one store holds into another that is empty: bodies,
// summaries, diaries, journals, timers, and what waits.
func transfer(t *testing.T, from, to store.Store) {
	t.Helper()
	ctx := t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	changes := map[store.Ref]*store.Change{}
	for ref, err := range from.Refs(ctx) {
		must(err)
		c := &store.Change{}
		changes[ref] = c
		a, err := from.Get(ctx, ref)
		must(err)
		c.Body = a.Body
		for r, err := range from.Diary(ctx, ref) {
			must(err)
			c.Diary = append(c.Diary, r)
		}
		for r, err := range from.Journal(ctx, ref) {
			must(err)
			c.Journal = append(c.Journal, r)
		}
		for tm, err := range from.Pending(ctx, ref) {
			must(err)
			c.Set = append(c.Set, tm)
		}
	}
	for m, err := range from.List(ctx, store.Query{}) {
		must(err)
		changes[m.Ref].Summary = &m
	}
	far := storedDay.Add(50 * 365 * 24 * time.Hour)
	for {
		items, _, err := from.Lease(ctx, far, 100, store.LaneAll, time.Minute)
		must(err)
		if len(items) == 0 {
			break
		}
		for _, it := range items {
			changes[it.Ref].Out = append(changes[it.Ref].Out, it)
			must(from.Settle(ctx, it.ID, store.Settlement{Outcome: store.Cancelled, At: far, Attempt: it.Attempt}))
		}
	}
	for ref, c := range changes {
		must(to.Update(ctx, ref, "transfer", storedDay, func(store.Aggregate) (store.Change, error) { return *c, nil }))
	}
	must(to.SetAside(ctx, "an-id", "a class", []byte(`{"update_id":1}`), storedDay))
}

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

func readLines(t *testing.T, path string) []string {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSpace(string(raw)), "\n")
}

func unzip(t *testing.T, path string) []byte {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// samples are the stored bodies, each to be filled to the last field.
func samples() map[string]any {
	out := map[string]any{
		"patient": new(flows.Patient), "practice": new(practice.Practice), "chat": new(desk.Chat),
		"message": new(message.Message), "entry": new(chart.Entry),
	}
	for _, b := range []flows.Body{
		&flows.Enrol{}, &flows.Join{}, &flows.Said{}, &flows.Tap{}, &flows.Other{}, &flows.Due{}, &flows.Order{},
		&flows.Bounce{}, &flows.Reached{}, &flows.Missed{}, &flows.Delivered{}, &flows.Gap{},
		&flows.Restored{}, &flows.Bound{}, &flows.NoSuchCode{}, &flows.LabelTaken{}, &flows.StaffJoin{}, &flows.StaffBound{},
		&flows.GroupMoved{}, &flows.Brief{}, &flows.Draft{},
		&flows.Settings{}, &flows.StaffChange{}, &flows.Manage{},
	} {
		out["event "+store.KindOf(valueOf(b))] = b
	}
	return out
}

// presentBodies are the bytes of every sample, and under each what they mean.
func presentBodies(t *testing.T) []byte {
	t.Helper()
	var b strings.Builder
	all := samples()
	for _, name := range sorted(all) {
		n := 0
		fill(all[name], &n)
		raw, err := encodeSample(name, all[name])
		if err != nil {
			t.Fatal(name, err)
		}
		fmt.Fprintf(&b, "%s: %s\n", name, hex.EncodeToString(raw))
		got, err := decodeSample(name, raw)
		if err != nil {
			t.Fatal(name, err)
		}
		for _, line := range printed("", got) {
			fmt.Fprintf(&b, "\t%s\n", line)
		}
	}
	return []byte(b.String())
}

// wantBodies reads the bytes of an old version and wants what they meant.
func wantBodies(t *testing.T, path string) {
	t.Helper()
	var name string
	var now []string
	bodies := 0
	for _, line := range readLines(t, path) {
		if want, ok := strings.CutPrefix(line, "\t"); ok {
			for _, line := range unmeant([]string{want}, now) {
				t.Errorf("%s meant, and means no more: %s", name, line)
			}
			continue
		}
		var text string
		name, text, _ = strings.Cut(line, ": ")
		raw, err := hex.DecodeString(text)
		if err != nil {
			t.Fatal(err)
		}
		v, err := decodeSample(name, raw)
		if err != nil {
			t.Errorf("%s is not read any more: %v", name, err)
		}
		now = printed("", v)
		bodies++
	}
	if bodies < 28 {
		t.Errorf("%d bodies are too few", bodies)
	}
}

func encodeSample(name string, v any) ([]byte, error) {
	switch v := v.(type) {
	case *flows.Patient:
		v.Course.N = 1
		return store.EncodePatient(v)
	case flows.Body:
		return store.EncodeBody(valueOf(v))
	}
	return store.Encode(v)
}

func decodeSample(name string, raw []byte) (any, error) {
	if name == "patient" {
		return store.DecodePatient(raw)
	}
	if strings.HasPrefix(name, "event ") {
		return store.DecodeBody(raw)
	}
	v, ok := samples()[name]
	if !ok {
		return nil, fmt.Errorf("no stored body is called %q", name)
	}
	return v, store.Decode(raw, v)
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
