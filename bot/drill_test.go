package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// TestDrill is a restore as a practice meets it: a copy is taken while a card of
// a red flag and an advice wait to go out, the patients live on, the machine is
// lost, and the copy is put back. Nothing is sent before the owner's release;
// then each patient is asked for the setting before anything else.
func TestDrill(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path, copy := filepath.Join(dir, "d.db"), filepath.Join(dir, "copy.db")
	open := func() *sqlite.Store {
		t.Helper()
		st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
		if err != nil {
			t.Fatal(err)
		}
		return st
	}
	st := open()
	s := talktest.PlayOn(t, st)
	const heron, garza = stage.UserPatient + 1, stage.UserPatient + 2
	cast := stage.Personas()[1:]
	for i := range cast {
		cast[i].User = heron + int64(i)
		cast[i].Label = s.People[3+i].Who
	}
	to := func(at time.Time) {
		t.Helper()
		if err := s.Move(t.Context(), at); err != nil {
			t.Fatal(err)
		}
	}

	// The evening of the copy: Heron has an advice on its way, and has said
	// something urgent, when the line goes down.
	evening := time.Date(2026, 3, 3, 2, 0, 0, 0, time.UTC) // 21:00 where the practice is
	to(evening)
	s.Platform.Inject(standin.Fault{Kind: standin.ServerError, Method: "sendMessage", Times: -1})
	for _, text := range []string{"No problem tonight", "my jaw is locked, I cannot open it"} {
		if _, err := s.Platform.Say(heron, text); err != nil {
			t.Fatal(err)
		}
	}
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(time.Millisecond) {
		waits, err := st.Ready(t.Context(), store.LaneUrgent)
		if err != nil || time.Now().After(end) {
			t.Fatalf("nothing urgent waits when the copy is made: %v", err)
		}
		if !waits.IsZero() && s.Platform.Quiet() {
			break
		}
	}
	if err := st.Backup(t.Context(), copy); err != nil {
		t.Fatal(err)
	}
	s.Platform.Mend()

	// Two days go by that the copy does not know; then the machine is lost.
	if err := s.Live(t.Context(), cast, evening.Add(47*time.Hour)); err != nil {
		t.Fatal(err)
	}
	before, err := s.ByChat(garza)
	if err != nil {
		t.Fatal(err)
	}
	s.Halt() // the platform goes on
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}

	done, aside, err := putBack(t.Context(), path, copy, s.Hands)
	if err != nil {
		t.Fatal(err)
	}
	if done.Patients != 3 || done.Void == 0 || done.Epoch != 1 || done.Since.Sub(evening).Abs() > time.Minute {
		t.Errorf("restored %+v", done)
	}
	if _, err := os.Stat(aside); err != nil {
		t.Errorf("the file that was there is not kept: %v", err)
	}
	st = open()
	t.Cleanup(func() { st.Close() })
	if s.Stage, err = stage.Raise(t.Context(), s.Platform, s.Hands, program.Parts{Store: st}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	everyone := []int64{stage.UserClinician, stage.UserAssistant, stage.UserPatient, heron, garza}
	heard := map[int64]int{}
	mark := func() {
		t.Helper()
		s.Hush(t)
		for _, user := range everyone {
			heard[user] = s.Heard(user)
		}
	}
	for _, user := range everyone {
		heard[user] = len(s.Platform.Messages(user))
	}
	said := func(user int64) string { return s.BotSaid(user, heard[user]) }

	// A night and a day without a release: nothing goes out.
	to(s.Hands.Now().Add(30 * time.Hour))
	for _, user := range everyone {
		if got := said(user); got != "" {
			t.Errorf("before the release %d hears %q", user, got)
		}
	}

	// Who writes is answered; the answer names no setting.
	mark()
	for user, want := range map[int64]string{heron: "Change nothing", garza: "No cambie nada"} {
		if err := s.Say(t.Context(), user, "today"); err != nil {
			t.Fatal(err)
		}
		got := said(user)
		t.Logf("in the freeze %d hears\n%s", user, got)
		if !strings.Contains(got, want) || strings.Contains(got, "Wear it at") || !strings.Contains(got, "911") {
			t.Errorf("in the freeze %d hears %q", user, got)
		}
	}
	if got := said(stage.UserClinician); got != "" {
		t.Errorf("the clinician hears %q", got)
	}
	got := s.Hears(t, stage.UserClinician, "queue")
	t.Logf("the clinician's queue is\n%s", got)
	if !strings.Contains(got, "restored copy") || !strings.Contains(got, "Mon 2 Mar") ||
		!strings.Contains(got, "Heron-04") {
		t.Errorf("the queue says %q", got)
	}
	mark()
	if err := s.Say(t.Context(), garza, "no puedo respirar"); err != nil {
		t.Fatal(err)
	}
	if got := said(garza); !strings.Contains(got, "911") {
		t.Errorf("in an emergency the patient hears %q", got)
	}
	if got := said(stage.UserClinician); !strings.Contains(got, cast[1].Label) {
		t.Errorf("in an emergency the clinician hears %q", got)
	}

	// The owner releases.
	mark()
	asked, err := s.Runner.Release(t.Context())
	if err != nil || asked != 3 {
		t.Fatalf("%d asked, %v", asked, err)
	}
	s.Hush(t)
	for user, want := range map[int64]string{heron: "We had a fault", garza: "Tuvimos un fallo"} {
		got := said(user)
		t.Logf("after the release %d hears\n%s", user, got)
		if !strings.HasPrefix(got, want) || strings.Contains(got, "Wear it at") || strings.Contains(got, "Úselo en") {
			t.Errorf("after the release %d hears %q", user, got)
		}
	}
	got = said(stage.UserClinician)
	t.Logf("after the release the clinician hears\n%s", got)
	if !strings.Contains(got, "Mon 2 Mar, 21:0") || !strings.Contains(got, "is lost") {
		t.Errorf("after the release the clinician hears %q", got)
	}
	to(s.Hands.Now().Add(20 * time.Minute)) // what was open in the copy rings again
	if got := said(stage.UserClinician); !strings.Contains(got, "Heron-04") {
		t.Errorf("the copy's red flag does not ring again: %q", got)
	}

	// The patient says where it stands, on both sides.
	for _, text := range []string{fmt.Sprintf("Posición %d", before.Course.Left), fmt.Sprint(before.Course.Right)} {
		s.Hands.Set(s.Hands.Now().Add(10 * time.Second)) // read, and typed
		got := s.Hears(t, garza, text)
		t.Logf("%s: the patient hears\n%s", text, got)
	}
	p, err := s.ByChat(garza)
	if err != nil || p.Epoch != 1 || p.Course.InDoubt || p.Course.Left != before.Course.Left {
		t.Errorf("epoch %d, in doubt %v, at %d of %d, %v", p.Epoch, p.Course.InDoubt, p.Course.Left, before.Course.Left, err)
	}

	// The journal tells it, unbroken.
	var told []string
	for r, err := range st.Journal(t.Context(), scheduler.PracticeRef()) {
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasPrefix(r.Event, "restore/") || strings.HasPrefix(r.Event, "release/") {
			told = append(told, r.What+" by "+r.Actor)
		}
	}
	if !slices.Equal(told, []string{"restored by owner", "manage by owner"}) {
		t.Errorf("the practice's journal tells %v", told)
	}
	if _, err := store.Audit(t.Context(), st); err != nil {
		t.Error(err)
	}
	mark()
	if _, err := s.Runner.Release(t.Context()); err != nil {
		t.Error(err)
	}
	s.Hush(t)
	for _, user := range everyone {
		if got := said(user); got != "" {
			t.Errorf("after a second release %d hears %q", user, got)
		}
	}
}
