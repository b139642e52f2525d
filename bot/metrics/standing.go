package metrics

import (
	"context"
	"runtime"
	"sync"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
	"duskdawn/scheduler"
	"duskdawn/store"

	"github.com/prometheus/client_golang/prometheus"
)

// standing collects what the runner has counted and what stands in the store.
type standing struct {
	Source

	mu   sync.Mutex
	at   time.Time // of the last look into the store, by the machine's clock
	seen look
}

// look is what the store showed.
type look struct {
	ok      bool
	now     time.Time
	backlog store.Backlog
	open    map[redflag.Class]int
	overdue int
}

// fresh is how long a look is good for, and patience how long one may take.
const (
	fresh    = 10 * time.Second
	patience = 5 * time.Second
)

func newStanding(s Source) *standing { return &standing{Source: s} }

func desc(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc(prefix+name, help, labels, nil)
}

var (
	buildInfo = desc("build_info", "The program: always 1.", "version", "goversion", "zones")
	duplicate = desc("updates_duplicate_total", "Updates that were committed before and came again; nothing happened twice.")
	polled    = desc("poll_last_success_timestamp_seconds",
		"When the platform last answered a request for updates; it keeps a tap 150 seconds.")
	leads     = desc("polling", "1 where this process is the one that takes updates.")
	hold      = desc("hold", "1 where advice or prompts wait, by why.", "reason")
	readable  = desc("store_readable", "1 where the last look into the store was answered; where it is 0 what stands in the store is left out.")
	pending   = desc("outbox_pending", "Messages, and events between aggregates, that wait or are being sent; heads of their lines.", "lane")
	oldest    = desc("outbox_oldest_age_seconds", "How long the oldest of them has waited; 0 where none does.", "lane")
	ended     = desc("outbox_unsent_total", "Messages that ended without being sent, by how: expired is ours, not the patient's silence.", "how")
	floodWait = desc("flood_wait_seconds_total", "Time that messages were told to wait by our flood limit or the platform's.")
	prompts   = desc("prompts_due_total", "Check-ins and milestones' words that came due and were ordered.")
	answered  = desc("checkins_answered_total", "Check-ins that the patient took to their end.", "kind")
	missed    = desc("checkins_missed_total", "Nights without a word though we asked (silent), and prompts that came too late to be sent (late, ours).", "reason")
	escOpen   = desc("escalations_open", "Patients with an open escalation, by the class of the most urgent one.",
		"class")
	escOverdue   = desc("escalations_overdue", "Patients with an escalation that nobody has taken past its deadline.")
	escRaised    = desc("escalations_raised_total", "Escalations raised, by class.", "class")
	escAck       = desc("escalation_ack_seconds", "Time until a person took an escalation, by class.", "class")
	cards        = desc("cards_total", "Cards that went to one person each, by reason (why REASON explains a rule); urgent is of class E and S.", "reason", "kind")
	adviceIssued = desc("advice_issued_total", "Advices committed, by what they ask for.", "action")
	adviceHeld   = desc("advice_held_total", "Advices that did not go forward, by the rule shown; why RULE explains it.",
		"reason")
	adviceBreach = desc("advice_breach_total", "Advices that the guard refused. Each is a fault of the program.")
	panics       = desc("panics_total", "Faults of the program that were caught; the log names the line.")
	skew         = desc("clock_skew_seconds", "Our clock less the platform's.")
	backup       = desc("backup_last_success_timestamp_seconds",
		"When the store was last copied whole and the copy checked.")
	actionOrder  = [...]chart.Action{chart.LeaveOut, chart.GoBack, chart.Stay, chart.Forward}
	scriptOrder  = [...]flows.CheckIn{flows.EveningCheck, flows.MorningCheck, flows.Recheck, flows.WeeklyCheck}
	descriptions = []*prometheus.Desc{buildInfo, duplicate, polled, leads, hold, readable, pending, oldest, ended,
		floodWait, prompts, answered, missed,
		escOpen, escOverdue, escRaised, escAck, cards, adviceIssued, adviceHeld, adviceBreach, panics, skew, backup}
)

// Describe names them.
func (s *standing) Describe(c chan<- *prometheus.Desc) {
	for _, d := range descriptions {
		c <- d
	}
}

// Collect reads them.
func (s *standing) Collect(c chan<- prometheus.Metric) {
	gauge := func(d *prometheus.Desc, v float64, labels ...string) {
		c <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v, labels...)
	}
	total := func(d *prometheus.Desc, v int64, labels ...string) {
		c <- prometheus.MustNewConstMetric(d, prometheus.CounterValue, float64(v), labels...)
	}
	gauge(buildInfo, 1, s.Version, runtime.Version(), scheduler.DataVersion())
	s.collectCounts(c, total)
	if at := s.Polled(); !at.IsZero() {
		gauge(polled, seconds(at))
	}
	gauge(leads, flag(s.Leads()))
	for why, is := range s.Holds {
		gauge(hold, flag(is()), why)
	}
	if d, ok := s.Skew(); ok {
		gauge(skew, d.Seconds())
	}
	if at := s.Backup(); !at.IsZero() {
		gauge(backup, seconds(at))
	}
	l := s.look()
	gauge(readable, flag(l.ok))
	if !l.ok {
		return
	}
	for lane, b := range l.backlog {
		age := 0.0
		if b.Items > 0 {
			age = max(l.now.Sub(b.Oldest).Seconds(), 0)
		}
		gauge(pending, float64(b.Items), laneNames[lane])
		gauge(oldest, age, laneNames[lane])
	}
	for _, class := range scheduler.Classes {
		gauge(escOpen, float64(l.open[class]), string(rune(class)))
	}
	gauge(escOverdue, float64(l.overdue))
}

// collectCounts gives what the runner counted.
func (s *standing) collectCounts(c chan<- prometheus.Metric, total func(*prometheus.Desc, int64, ...string)) {
	st := s.Stats
	total(duplicate, st.Again.Load())
	total(ended, st.Expired.Load(), "expired")
	total(ended, st.Cancelled.Load(), "cancelled")
	total(ended, st.Doubt.Load(), "doubt")
	c <- prometheus.MustNewConstMetric(floodWait, prometheus.CounterValue, time.Duration(st.FloodWait.Load()).Seconds())
	total(prompts, st.Prompts.Load())
	for _, k := range scriptOrder {
		total(answered, st.Answered[k].Load(), k.String())
	}
	total(missed, st.Silent.Load(), "silent")
	total(missed, st.Late.Load(), "late")
	for i, class := range scheduler.Classes {
		name := string(rune(class))
		total(escRaised, st.Raised[i].Load(), name)
		n, sum, under := st.Taken[i].Read()
		c <- prometheus.MustNewConstHistogram(escAck, n, sum, under, name)
	}
	for of, n := range st.Cards.Read() {
		total(cards, n, of.Reason, map[bool]string{true: "urgent", false: "below"}[of.Urgent])
	}
	for _, a := range actionOrder {
		total(adviceIssued, st.Advice[a].Load(), a.String())
	}
	for _, rule := range pacing.Rules() {
		total(adviceHeld, st.Held[rule.Rule].Load(), rule.Rule.ID())
	}
	total(adviceBreach, st.Breach.Load())
	total(panics, st.Panics.Load())
}

// look reads the store, where the last look is no longer fresh.
func (s *standing) look() look {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.at.IsZero() && time.Since(s.at) < fresh {
		return s.seen
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	l := look{now: s.Now(), open: map[redflag.Class]int{}}
	b, err := s.Store.Waiting(ctx)
	l.backlog = b
	if err == nil {
		for sum, e := range s.Store.List(ctx, store.Query{Open: true}) {
			if e != nil {
				err = e
				break
			}
			l.open[redflag.Class(sum.Class)]++
			if !sum.Deadline.IsZero() && sum.Deadline.Before(l.now) {
				l.overdue++
			}
		}
	}
	l.ok = err == nil
	s.seen, s.at = l, time.Now()
	return l
}

func seconds(t time.Time) float64 { return float64(t.UnixMicro()) / 1e6 }

func flag(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
