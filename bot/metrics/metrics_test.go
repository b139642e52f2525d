package metrics

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
	"duskdawn/store/sqlite"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
	dto "github.com/prometheus/client_model/go"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"
)

var now = time.Date(2026, 11, 3, 21, 0, 0, 0, time.UTC)

func source(st store.Store) Source {
	return Source{Store: st, Stats: &scheduler.Stats{}, Version: "v1", Now: func() time.Time { return now },
		Polled: func() time.Time { return now.Add(-7 * time.Second) }, Leads: func() bool { return true },
		Skew:   func() (time.Duration, bool) { return 1500 * time.Millisecond, true },
		Backup: func() time.Time { return now.Add(-time.Hour) },
		Holds:  map[string]func() bool{"rival": func() bool { return true }, "token": func() bool { return false }}}
}

// scrape asks as Prometheus does, and reads the answer with its own parser.
func scrape(t *testing.T, m *Metrics) (map[string]*dto.MetricFamily, string) {
	t.Helper()
	w := httptest.NewRecorder()
	m.Handler().ServeHTTP(w, httptest.NewRequest("GET", "/metrics", nil))
	body, err := io.ReadAll(w.Result().Body)
	if err != nil || w.Code != 200 {
		t.Fatalf("%d, %v: %s", w.Code, err, body)
	}
	p := expfmt.NewTextParser(model.UTF8Validation)
	families, err := p.TextToMetricFamilies(strings.NewReader(string(body)))
	if err != nil {
		t.Fatal(err)
	}
	return families, string(body)
}

func fill(t *testing.T, st store.Store) {
	t.Helper()
	item := func(shard int, name string, l store.Lane) store.Item {
		return store.Item{ID: fmt.Sprintf("%02d%s", shard, name), Queue: "7", Lane: l, Body: []byte("sore, a 9")}
	}
	put := func(shard int, at time.Time, sum store.Summary, items ...store.Item) {
		t.Helper()
		ref := store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02dANN", shard)}
		if err := st.Update(t.Context(), ref, "e", at, func(store.Aggregate) (store.Change, error) {
			sum.Ref = ref
			return store.Change{Body: []byte{1}, Summary: &sum, Out: items}, nil
		}); err != nil {
			t.Fatal(err)
		}
	}
	put(1, now.Add(-90*time.Second), store.Summary{Label: "K-12", State: "stepping", Class: 'S',
		Deadline: now.Add(-time.Minute), Chat: 424242}, item(1, "a", store.LaneUrgent))
	put(2, now.Add(-30*time.Second), store.Summary{Label: "K-13", State: "stepping", Class: 'N',
		Deadline: now.Add(time.Hour), Chat: 424243}, item(2, "b", store.LanePrompt))
	put(3, now, store.Summary{Label: "K-14", State: "stepping", Chat: 424244}, item(3, "c", store.LanePrompt))
}

func TestWhatIsOffered(t *testing.T) {
	st := memory.New()
	fill(t, st)
	s := source(st)
	m := New(s)
	m.Received("text")
	m.Received("text")
	m.SetAside()
	m.Sent(store.LaneReply, "sent", 80*time.Millisecond)
	m.Sent(store.LanePrompt, "unknown", 30*time.Second)
	s.Stats.Again.Add(3)
	s.Stats.Prompts.Add(4)
	s.Stats.Answered[flows.MorningCheck].Add(2)
	s.Stats.Late.Add(1)
	s.Stats.Advice[chart.Stay].Add(5)
	s.Stats.Held[7].Add(5)
	s.Stats.FloodWait.Add(int64(1500 * time.Millisecond))
	s.Stats.Taken[1].Observe(240)
	s.Stats.Cards.Add(flows.Carded{Who: "s1", Reason: "P16", N: 2})
	s.Stats.Cards.Add(flows.Carded{Who: "s2", Reason: "P16", N: 1})
	s.Stats.Cards.Add(flows.Carded{Who: "s2", Reason: "breath", N: 4, Urgent: true})
	families, body := scrape(t, m)
	for want, value := range map[string]string{
		`duskdawn_updates_received_total{type="text"}`:              "2",
		`duskdawn_updates_set_aside_total`:                          "1",
		`duskdawn_updates_duplicate_total`:                          "3",
		`duskdawn_send_total{lane="reply",result="sent"}`:           "1",
		`duskdawn_send_total{lane="prompt",result="unknown"}`:       "1",
		`duskdawn_send_duration_seconds_count`:                      "2",
		`duskdawn_send_duration_seconds_bucket{le="0.1"}`:           "1",
		`duskdawn_outbox_pending{lane="urgent"}`:                    "1",
		`duskdawn_outbox_pending{lane="prompt"}`:                    "2",
		`duskdawn_outbox_oldest_age_seconds{lane="urgent"}`:         "90",
		`duskdawn_outbox_oldest_age_seconds{lane="prompt"}`:         "30",
		`duskdawn_outbox_oldest_age_seconds{lane="reply"}`:          "0",
		`duskdawn_escalations_open{class="S"}`:                      "1",
		`duskdawn_escalations_open{class="E"}`:                      "0",
		`duskdawn_escalations_overdue`:                              "1",
		`duskdawn_escalation_ack_seconds_bucket{class="S",le="60"}`: "0",
		`duskdawn_escalation_ack_seconds_sum{class="S"}`:            "240",
		`duskdawn_cards_total{kind="below",reason="P16"}`:           "3",
		`duskdawn_cards_total{kind="urgent",reason="breath"}`:       "4",
		`duskdawn_prompts_due_total`:                                "4",
		`duskdawn_checkins_answered_total{kind="morning"}`:          "2",
		`duskdawn_checkins_missed_total{reason="late"}`:             "1",
		`duskdawn_checkins_missed_total{reason="silent"}`:           "0",
		`duskdawn_advice_issued_total{action="stay"}`:               "5",
		`duskdawn_advice_held_total{reason="P07"}`:                  "5",
		`duskdawn_flood_wait_seconds_total`:                         "1.5",
		`duskdawn_clock_skew_seconds`:                               "1.5",
		`duskdawn_hold{reason="rival"}`:                             "1",
		`duskdawn_polling`:                                          "1",
		`duskdawn_store_readable`:                                   "1",
		`duskdawn_poll_last_success_timestamp_seconds`:              fmt.Sprint(float64(now.Unix() - 7)),
		`duskdawn_backup_last_success_timestamp_seconds`:            fmt.Sprint(float64(now.Unix() - 3600)),
	} {
		if !strings.Contains(body, "\n"+want+" "+value+"\n") {
			t.Errorf("%s is not %s", want, value)
		}
	}
	if families["go_goroutines"] == nil || families["process_resident_memory_bytes"] == nil {
		t.Error("nothing is told of the process itself")
	}
	if lint, err := promlint.New(strings.NewReader(body)).Lint(); err != nil || len(lint) > 0 {
		t.Errorf("the official linter: %v %v", lint, err)
	}
}

// Every label is one of a few, its values one of a closed set, and nothing of a
// patient is among them: no label of the practice, chat, id or text.
func TestNoLabelNamesAPatient(t *testing.T) {
	st := memory.New()
	fill(t, st)
	m := New(source(st))
	m.Received("text")
	m.Sent(store.LaneReply, "sent", time.Second)
	families, body := scrape(t, m)
	for _, secret := range []string{"K-1", "ANN", "4242", "sore"} {
		if strings.Contains(body, secret) {
			t.Errorf("%q is told", secret)
		}
	}
	labels := []string{"type", "lane", "result", "how", "kind", "reason", "class", "action", "version", "goversion",
		"zones", "le", "quantile"}
	ours := regexp.MustCompile(`^duskdawn_[a-z_]+$`)
	for name, f := range families {
		if !ours.MatchString(name) && !strings.HasPrefix(name, "go_") && !strings.HasPrefix(name, "process_") {
			t.Errorf("%s is not named as ours", name)
		}
		for _, metric := range f.Metric {
			for _, l := range metric.Label {
				if !slices.Contains(labels, l.GetName()) || len(l.GetValue()) > 80 {
					t.Errorf("%s has the label %s=%q", name, l.GetName(), l.GetValue())
				}
			}
		}
	}
}

// The README's alerts ask for what there is.
func TestTheReadmeNamesMetricsThatExist(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	s := source(memory.New())
	s.Stats.Cards.Add(flows.Carded{Reason: "P16", N: 1})
	m := New(s)
	m.Sent(store.LaneReply, "sent", time.Second)
	families, _ := scrape(t, m)
	names := regexp.MustCompile(`duskdawn_[a-z_]{4,}[a-z]`).FindAllString(string(text), -1)
	if len(names) < 10 {
		t.Errorf("only %q are named", names)
	}
	for _, name := range names {
		if families[name] == nil {
			t.Errorf("there is no %s", name)
		}
	}
}

// away is a store that counts how often it is looked into, and is away on request.
type away struct {
	store.Store
	looks int
	gone  bool
}

func (a *away) Waiting(ctx context.Context) (store.Backlog, error) {
	a.looks++
	if a.gone {
		return store.Backlog{}, errors.New("sore, a 9")
	}
	return a.Store.Waiting(ctx)
}

func (a *away) List(ctx context.Context, q store.Query) iter.Seq2[store.Summary, error] {
	if !q.Open {
		panic("a scrape reads all patients")
	}
	return a.Store.List(ctx, q)
}

// However often somebody asks, the store is looked into once in a while; where
// it is away the counts are still offered.
func TestScrapesSpareTheStore(t *testing.T) {
	a := &away{Store: memory.New()}
	m := New(source(a))
	for range 20 {
		scrape(t, m)
	}
	if a.looks != 1 {
		t.Errorf("%d looks for 20 scrapes", a.looks)
	}
	b := &away{Store: memory.New(), gone: true}
	families, body := scrape(t, New(source(b)))
	if !strings.Contains(body, "duskdawn_store_readable 0") || families["duskdawn_outbox_pending"] != nil ||
		families["duskdawn_prompts_due_total"] == nil || strings.Contains(body, "sore") {
		t.Errorf("with the store away:\n%s", body)
	}
}

func TestANilOneCountsNothing(t *testing.T) {
	var m *Metrics
	m.Received("text")
	m.SetAside()
	m.Sent(store.LaneReply, "sent", time.Second)
}

// BenchmarkCount is what counting adds to one reply: an update, a commit's
// tally and a send.
func BenchmarkCount(b *testing.B) {
	m := New(source(memory.New()))
	b.ReportAllocs()
	for b.Loop() {
		m.Received("text")
		m.Sent(store.LaneReply, "sent", 3*time.Millisecond)
	}
}

// BenchmarkScrape is one look into SQLite and its scrape, beside the patients
// enrolled: it costs by the 100 that are open and the 1,000 that wait.
func BenchmarkScrape(b *testing.B) {
	for _, enrolled := range []int{1_000, 100_000} {
		b.Run(fmt.Sprint(enrolled), func(b *testing.B) {
			st, err := sqlite.Open(b.Context(), sqlite.Options{Path: filepath.Join(b.TempDir(), "bench.db")})
			if err != nil {
				b.Fatal(err)
			}
			defer st.Close()
			enrol(b, st, enrolled)
			s := newStanding(source(st))
			for b.Loop() {
				s.at = time.Time{} // as if ten seconds had gone by
				if l := s.look(); !l.ok || l.backlog[store.LanePrompt].Items != 1000 || l.open['S'] != 100 {
					b.Fatalf("%+v", l)
				}
			}
		})
	}
}

func enrol(b *testing.B, st store.Store, n int) {
	b.Helper()
	work := make(chan int)
	done := make(chan error, 64)
	for range 64 {
		go func() {
			var last error
			for i := range work {
				ref := store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02dP%07d", i%store.Shards, i)}
				sum := store.Summary{Ref: ref, Label: fmt.Sprint(i), State: "stepping"}
				if i < 100 {
					sum.Class, sum.Deadline = 'S', now
				}
				c := store.Change{Body: []byte{1}, Summary: &sum}
				if i < 1000 {
					c.Out = []store.Item{{ID: fmt.Sprintf("%02di%d", i%store.Shards, i), Queue: fmt.Sprint(i), Lane: store.LanePrompt,
						Body: []byte("x")}}
				}
				if err := st.Update(b.Context(), ref, "e", now, func(store.Aggregate) (store.Change, error) {
					return c, nil
				}); err != nil {
					last = err
				}
			}
			done <- last
		}()
	}
	for i := range n {
		work <- i
	}
	close(work)
	for range 64 {
		if err := <-done; err != nil {
			b.Fatal(err)
		}
	}
}
