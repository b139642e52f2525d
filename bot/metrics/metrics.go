package metrics

import (
	"net/http"
	"time"

	"duskdawn/scheduler"
	"duskdawn/store"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

const prefix = "duskdawn_"

// Source is what is read when somebody asks.
type Source struct {
	Store   store.Store
	Stats   *scheduler.Stats
	Version string
	Now     func() time.Time // the clock of the store's instants

	Polled func() time.Time             // when the platform last gave updates; zero for never
	Leads  func() bool                  // this process is the one to poll
	Skew   func() (time.Duration, bool) // our clock less the platform's; false while unknown
	Backup func() time.Time             // when the store was last copied whole; zero where unknown
	Holds  map[string]func() bool       // why advice or prompts wait, by a fixed word
}

// Metrics counts, and answers Prometheus. A nil one counts nothing.
type Metrics struct {
	all      *prometheus.Registry
	received *prometheus.CounterVec
	aside    prometheus.Counter
	past     prometheus.Counter
	dropped  prometheus.Counter
	sends    *prometheus.CounterVec
	took     prometheus.Histogram
}

// New makes the counters.
func New(s Source) *Metrics {
	m := &Metrics{
		all: prometheus.NewRegistry(),
		received: prometheus.NewCounterVec(prometheus.CounterOpts{Name: prefix + "updates_received_total",
			Help: "Updates taken from the platform, redelivered ones included, by type."}, []string{"type"}),
		aside: prometheus.NewCounter(prometheus.CounterOpts{Name: prefix + "updates_set_aside_total",
			Help: "Updates that could not be read or kept and wait for a person; check shows them."}),
		dropped: prometheus.NewCounter(prometheus.CounterOpts{Name: prefix + "strangers_dropped_total",
			Help: "Messages of people whom nobody knows that were dropped, since too many came at once."}),
		past: prometheus.NewCounter(prometheus.CounterOpts{Name: prefix + "emergencies_past_store_total",
			Help: "Emergencies that were answered without having been stored, since the store took no write."}),
		sends: prometheus.NewCounterVec(prometheus.CounterOpts{Name: prefix + "send_total",
			Help: "Tries to send a message, by lane and result; unknown is a try whose answer was lost."}, []string{"lane", "result"}),
		took: prometheus.NewHistogram(prometheus.HistogramOpts{Name: prefix + "send_duration_seconds",
			Help: "How long the platform took to answer a try.", Buckets: scheduler.Bounds[:8]}),
	}
	m.all.MustRegister(m.received, m.aside, m.past, m.dropped, m.sends, m.took, newStanding(s),
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// Received counts an update by its type.
func (m *Metrics) Received(kind string) {
	if m != nil {
		m.received.WithLabelValues(kind).Inc()
	}
}

// SetAside counts an update that is set aside.
func (m *Metrics) SetAside() {
	if m != nil {
		m.aside.Inc()
	}
}

// PastStore counts an emergency that was answered past the store.
func (m *Metrics) PastStore() {
	if m != nil {
		m.past.Inc()
	}
}

// Dropped counts a stranger's message that was dropped.
func (m *Metrics) Dropped() {
	if m != nil {
		m.dropped.Inc()
	}
}

// Sent counts a try to send, by lane and the platform's result.
func (m *Metrics) Sent(l store.Lane, result string, took time.Duration) {
	if m != nil {
		m.sends.WithLabelValues(laneNames[l], result).Inc()
		m.took.Observe(took.Seconds())
	}
}

// laneNames are the lanes as labels.
var laneNames = [store.LaneAll + 1]string{"event", "urgent", "reply", "staff", "prompt", "reminder", "report", "stranger"}

// Handler answers a scrape.
func (m *Metrics) Handler() http.Handler {
	return promhttp.HandlerFor(m.all, promhttp.HandlerOpts{MaxRequestsInFlight: 2})
}
