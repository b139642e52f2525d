package program_test

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/flows/chart"
	"duskdawn/store"
	"duskdawn/store/memory"
)

var errCrash = errors.New("crash")

// brittle is a store that, while armed, fails before or after a commit, as a
// process does that is killed there.
type brittle struct {
	store.Store
	armed atomic.Bool
	odds  func() int // 0: before, 1: after, else not
	fail  func(ref store.Ref) error
	hits  atomic.Int64
}

func (b *brittle) Update(ctx context.Context, ref store.Ref, event string, at time.Time,
	fn func(store.Aggregate) (store.Change, error)) error {
	if b.fail != nil {
		if err := b.fail(ref); err != nil {
			return err
		}
	}
	what := 9
	if b.armed.Load() && b.odds != nil && strings.HasPrefix(event, "u/") {
		what = b.odds()
	}
	if what == 0 {
		b.hits.Add(1)
		return errCrash
	}
	err := b.Store.Update(ctx, ref, event, at, fn)
	if err == nil && what == 1 {
		b.hits.Add(1)
		return errCrash
	}
	return err
}

// An update that can never be kept is set aside; its person is told to call,
// and everybody else goes on.
func TestWhatNeverFitsHoldsNobodyUp(t *testing.T) {
	t.Parallel()
	b := &brittle{Store: memory.New()}
	s := talktest.PlayOn(t, b)
	const user = stage.UserPatient + 1
	p, err := s.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	b.fail = func(ref store.Ref) error {
		if ref.Kind == store.Patient && ref.ID == string(p.ID) {
			return store.ErrTooLarge
		}
		return nil
	}
	if got := s.Hears(t, user, "I cannot breathe"); !strings.Contains(got, "911") {
		t.Errorf("the patient hears %q", got)
	}
	if got := s.Hears(t, stage.UserPatient+2, "today"); got == "" {
		t.Error("another patient waits behind it")
	}
	asides := 0
	for range s.Store.Asides(t.Context()) {
		asides++
	}
	if asides != 1 {
		t.Errorf("%d set aside", asides)
	}
}

// Killed before or after the commit of a message: nothing a person said is lost
// or counted twice, and what the bot says is said once.
func TestKilledAroundCommits(t *testing.T) {
	t.Parallel()
	calm := talktest.Play(t)
	var turn atomic.Int64
	b := &brittle{Store: memory.New()}
	b.odds = func() int { return int(turn.Add(1) * 2 % 6 / 2) } // after, not, before, after, ...
	rough := talktest.PlayOn(t, b)
	b.armed.Store(true)
	const user = stage.UserPatient + 1
	live := func(s *talktest.Scene) []string {
		n := s.Heard(user)
		for _, text := range []string{"worn all night, pain 0, snoring 6, guide 5 min, bite ok", "pain 3", "undo",
			"call me"} {
			s.Hears(t, user, text)
		}
		if err := s.Move(t.Context(), s.Hands.Now().Add(14*time.Hour)); err != nil {
			t.Fatal(err)
		}
		var told []string
		for _, m := range s.Platform.Messages(user)[n:] {
			if m.Bot {
				told = append(told, m.Text)
			}
		}
		return told
	}
	want, got := live(calm), live(rough)
	if b.hits.Load() < 2 {
		t.Fatalf("%d crashes prove nothing", b.hits.Load())
	}
	if !slices.Equal(want, got) {
		t.Errorf("said\n%q\nwithout crashes\n%q", got, want)
	}
	p, err := calm.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	q, err := rough.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Escalations {
		p.Escalations[i].RaisedAt, p.Escalations[i].Deadline = 0, 0
	}
	for i := range q.Escalations {
		q.Escalations[i].RaisedAt, q.Escalations[i].Deadline = 0, 0
	}
	if !reflect.DeepEqual(p.Course, q.Course) || !reflect.DeepEqual(p.Escalations, q.Escalations) {
		t.Errorf("the patient is\n%+v\nwithout crashes\n%+v", q.Course, p.Course)
	}
	rows := func(s *talktest.Scene, id chart.PatientID) (n int) {
		for _, err := range s.Store.Diary(t.Context(), store.Ref{Kind: store.Patient, ID: string(id)}) {
			if err != nil {
				t.Fatal(err)
			}
			n++
		}
		return n
	}
	if a, z := rows(calm, p.ID), rows(rough, q.ID); a != z {
		t.Errorf("%d diary rows, without crashes %d", z, a)
	}
}
