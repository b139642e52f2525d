package shape

import (
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
)

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
		for end := time.Now().Add(10 * time.Second); s.Heard(who) < 2 && time.Now().Before(end); {
			time.Sleep(10 * time.Millisecond) // a start also sends what waited, and may do so first
			if err := s.Quiet(ctx); err != nil {
				t.Fatal(err)
			}
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
